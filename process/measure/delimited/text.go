package delimited

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"actinic/process/fault"
)

// Text is a text file in lines, without their ends.
type Text struct {
	File   string   // name as the user gave it, for messages
	SHA256 string   // of the bytes read, in hexadecimal
	Lines  []string // Lines[0] is line 1
}

// LoadFile reads the text file at path.
func LoadFile(path string) (*Text, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, openFault(err, path)
	}
	defer f.Close()
	return Load(f, path)
}

func openFault(err error, path string) error {
	what := err.Error()
	var pe *fs.PathError
	if errors.As(err, &pe) {
		what = "cannot be opened: " + pe.Err.Error()
	}
	return fault.Wrap(err, path, "", what, "check the name and the folder")
}

// Load reads text from r to its end; file is its name for messages. The error
// is a *fault.Error if the bytes are too many, not text, or blank.
func Load(r io.Reader, file string) (*Text, error) {
	raw, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, fault.Wrap(err, file, "", "cannot be read: "+err.Error(), "")
	}
	if len(raw) > MaxBytes {
		return nil, fault.New(file, "", fmt.Sprintf("more than %d MiB, expected a table", MaxBytes>>20),
			"give the file of the table, not a picture or an archive")
	}
	s, err := decode(raw, file)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(s) == "" {
		return nil, fault.New(file, "", "empty file, expected a table", "")
	}
	sum := sha256.Sum256(raw)
	t := &Text{File: file, SHA256: hex.EncodeToString(sum[:])}
	if t.Lines, err = splitLines(s, file); err != nil {
		return nil, err
	}
	return t, nil
}

const utf8Hint = "save it again as plain text in UTF-8"

// decode turns the bytes into a valid UTF-8 string, honouring a byte order mark.
func decode(raw []byte, file string) (string, error) {
	if bytes.HasPrefix(raw, []byte("PK\x03\x04")) || bytes.HasPrefix(raw, []byte("\xd0\xcf\x11\xe0")) {
		return "", fault.New(file, "", "a workbook or archive, expected text", "export the sheet as CSV in UTF-8")
	}
	s := string(raw)
	switch {
	case bytes.HasPrefix(raw, []byte("\xef\xbb\xbf")):
		s = string(raw[3:])
	case bytes.HasPrefix(raw, []byte("\xff\xfe")):
		s = decodeUTF16(raw[2:], binary.LittleEndian)
	case bytes.HasPrefix(raw, []byte("\xfe\xff")):
		s = decodeUTF16(raw[2:], binary.BigEndian)
	}
	if i := strings.IndexFunc(s, isBinary); i >= 0 {
		return "", fault.New(file, place(s, i), fmt.Sprintf("binary data (byte %#02x), expected text", s[i]),
			"give a table as CSV, or readings as ISO 28178 text, in UTF-8")
	}
	if !utf8.ValidString(s) {
		return "", fault.New(file, place(s, firstInvalid(s)), "characters that are not UTF-8", utf8Hint)
	}
	return s, nil
}

// decodeUTF16 drops an odd last byte: a cut-off file shows as a short last row.
func decodeUTF16(b []byte, order binary.ByteOrder) string {
	units := make([]uint16, len(b)/2)
	for i := range units {
		units[i] = order.Uint16(b[2*i:])
	}
	return string(utf16.Decode(units))
}

// isBinary tells the control characters that no text table holds.
func isBinary(r rune) bool {
	return r < ' ' && !strings.ContainsRune("\t\n\r", r)
}

func firstInvalid(s string) int {
	for i, r := range s {
		if r == utf8.RuneError {
			if _, n := utf8.DecodeRuneInString(s[i:]); n == 1 {
				return i
			}
		}
	}
	return 0
}

// place says in which line of s byte i lies.
func place(s string, i int) string {
	lines := strings.Split(unifyEnds(s[:i]), "\n")
	return fmt.Sprintf("line %d", len(lines))
}

func unifyEnds(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
}

func splitLines(s, file string) ([]string, error) {
	s = unifyEnds(s)
	if n := strings.Count(s, "\n"); n > MaxLines {
		return nil, fault.New(file, "", fmt.Sprintf("%d lines, expected at most %d", n, MaxLines), "")
	}
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if len(l) > MaxLine {
			return nil, fault.New(file, fmt.Sprintf("line %d", i+1),
				fmt.Sprintf("%d bytes in one line, expected at most %d", len(l), MaxLine), "")
		}
	}
	return lines, nil
}

// Fault returns an error at a line (0 for none) and column ("" for none).
func (t *Text) Fault(line int, column, what, hint string) *fault.Error {
	var where []string
	if line > 0 {
		where = append(where, fmt.Sprintf("line %d", line))
	}
	if column != "" {
		where = append(where, "column "+column)
	}
	return fault.New(t.File, strings.Join(where, ", "), what, hint)
}
