package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
)

// sumResult is the content of a file without its name.
type sumResult struct {
	content content
	err     error
}

// sumOf reads to the end.
func sumOf(r io.Reader) sumResult {
	h := sha256.New()
	n, err := io.CopyBuffer(struct{ io.Writer }{h}, struct{ io.Reader }{r}, make([]byte, 256<<10))
	return sumResult{content{Bytes: n, SHA256: hex.EncodeToString(h.Sum(nil))}, err}
}

func sumOfFile(name string) sumResult {
	f, err := os.Open(name)
	if err != nil {
		return sumResult{err: err}
	}
	defer f.Close()
	return sumOf(f)
}
