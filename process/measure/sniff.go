package measure

import (
	"bytes"
	"slices"
)

// IsText reports whether head, the first bytes of a file, can begin a file of
// readings rather than a picture: text holds no zero bytes and no control
// characters, and every picture format does within its first bytes. A few hundred
// bytes are enough.
func IsText(head []byte) bool {
	for _, mark := range []string{"\xff\xfe", "\xfe\xff"} { // UTF-16
		if bytes.HasPrefix(head, []byte(mark)) {
			return true
		}
	}
	return !slices.ContainsFunc(head, isControl)
}

func isControl(b byte) bool {
	return b < ' ' && b != '\t' && b != '\n' && b != '\r'
}
