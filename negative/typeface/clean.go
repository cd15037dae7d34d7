package typeface

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

const (
	zeroWidthNonJoiner = '\u200C' // Persian and the scripts of India spell with these
	zeroWidthJoiner    = '\u200D'
)

// mostMarks is how many marks a letter may carry: pointed Hebrew, Yoruba and the
// scripts of India need up to four (a working value of ours). The rest of a heap
// is dropped.
const mostMarks = 5

// Clean returns text as one line, trimmed, with letters and their marks composed
// where Unicode has a composed form (file names of some systems come decomposed).
// Control characters and line breaks become spaces; marks that steer the order of
// text, and others that are never seen, are left out.
func Clean(text string) string {
	var b strings.Builder
	marks := 0
	for _, r := range strings.ToValidUTF8(text, "\uFFFD") {
		switch {
		case unicode.IsControl(r):
			r = ' '
		case unicode.Is(unicode.Cf, r) && r != zeroWidthNonJoiner && r != zeroWidthJoiner:
			continue
		case unicode.Is(unicode.M, r):
			marks++
			if marks > mostMarks {
				continue
			}
		default:
			marks = 0
		}
		b.WriteRune(r)
	}
	return strings.Join(strings.Fields(compose(b.String())), " ")
}

// compose returns text in normal form C (Unicode Standard Annex #15) but for the
// CJK compatibility ideographs: that form turns them into other ideographs, and
// people spell their names with these.
func compose(text string) string {
	var b strings.Builder
	for text != "" {
		i := strings.IndexFunc(text, isCompatibilityIdeograph)
		if i < 0 {
			b.WriteString(norm.NFC.String(text))
			break
		}
		b.WriteString(norm.NFC.String(text[:i]))
		end := i
		for n, r := range text[i:] {
			if !isCompatibilityIdeograph(r) {
				break
			}
			end = i + n + len(string(r))
		}
		b.WriteString(text[i:end])
		text = text[end:]
	}
	return b.String()
}

func isCompatibilityIdeograph(r rune) bool {
	return r >= 0xF900 && r <= 0xFAFF || r >= 0x2F800 && r <= 0x2FA1F
}
