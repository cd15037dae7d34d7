package raster

import (
	"bytes"
	"io"
	"unicode/utf8"
)

// sniffed is how many bytes tell a format.
const sniffed = 64

// newDecoder tells the format by the first bytes and opens its decoder.
func newDecoder(r io.ReaderAt, size int64) (decoder, error) {
	head := make([]byte, min(size, sniffed))
	if _, err := r.ReadAt(head, 0); err != nil && err != io.EOF {
		return nil, err
	}
	switch {
	case len(head) == 0:
		return nil, broken("file", "", "is empty, expected a picture")
	case has(head, 0, "II*\x00"), has(head, 0, "MM\x00*"), has(head, 0, "II+\x00"), has(head, 0, "MM\x00+"):
		return newTIFFDecoder(r, size)
	case has(head, 0, pngSignature):
		return newPNGDecoder(r, size)
	case has(head, 0, "\xff\xd8\xff"):
		return newJPEGDecoder(r, size)
	}
	return nil, notOurs(head)
}

func has(head []byte, at int, text string) bool {
	return len(head) >= at+len(text) && string(head[at:at+len(text)]) == text
}

// others are formats that photographers bring and that are known by their first
// bytes, from the formats' own descriptions.
var others = []struct {
	at   int
	text string
	name string
}{
	{0, "GIF8", "GIF"}, {8, "WEBP", "WebP"}, {0, "BM", "BMP"}, {0, "8BPS", "a layered editor file (PSD)"},
	{4, "ftyphei", "HEIC"}, {4, "ftypmif1", "HEIC"}, {4, "ftypavif", "AVIF"}, {4, "ftypcrx ", "camera raw"},
	{0, "FUJIFILMCCD-RAW", "camera raw"}, {0, "IIRO", "camera raw"}, {0, "IIU\x00", "camera raw"},
	{4, "jP  \r\n\x87\n", "JPEG 2000"}, {0, "\xff\x4f\xff\x51", "JPEG 2000"},
	{0, "\xff\x0a", "JPEG XL"}, {4, "JXL \r\n\x87\n", "JPEG XL"}, {0, "v/1\x01", "OpenEXR"},
	{0, "%PDF-", "PDF"}, {0, "%!PS", "PostScript"}, {0, "#?RADIANCE", "Radiance HDR"},
}

// notOurs says what a file is that is neither TIFF nor PNG nor JPEG.
func notOurs(head []byte) error {
	for _, o := range others {
		if has(head, o.at, o.text) {
			return unsupported("file", "%s", o.name)
		}
	}
	if looksLikeText(head) {
		return &UnsupportedError{Format: "file", Feature: "text", Fix: "give a TIFF, PNG or JPEG picture here"}
	}
	return &UnsupportedError{Format: "file", Feature: "an unknown kind of file"}
}

// looksLikeText reports whether all bytes are text in UTF-8, the last character
// of the sample perhaps cut.
func looksLikeText(head []byte) bool {
	for cut := 0; cut < utf8.UTFMax && cut < len(head); cut++ {
		if part := head[:len(head)-cut]; utf8.Valid(part) {
			return bytes.IndexFunc(part, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' }) < 0
		}
	}
	return false
}
