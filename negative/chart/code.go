package chart

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/makiuchi-d/gozxing/qrcode/encoder"
)

// codeLetters are the letters of a page's code: figures and capitals without I,
// L, O and U, which are taken for others (Crockford's base 32, from memory).
const codeLetters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// codeLength letters carry 40 bits: two charts share a code once in 10^12.
const codeLength = 8

// nameCodes gives every page its code, from all that decides the print: not
// from when and of which files the chart was made.
func (c *Chart) nameCodes() {
	for i := range c.Pages {
		c.Pages[i].Code = ""
	}
	file := c.file()
	file.Made, file.Inputs = "", nil
	text, err := json.Marshal(file)
	if err != nil {
		panic("chart: its own numbers cannot be written: " + err.Error())
	}
	for i := range c.Pages {
		sum := sha256.Sum256(append(text[:len(text):len(text)], fmt.Sprintf("page %d", i+1)...))
		c.Pages[i].Code = codeOf(sum)
	}
}

// codeOf writes the first 40 bits of a sum, 5 bits a letter.
func codeOf(sum [sha256.Size]byte) string {
	bits := uint64(0)
	for _, b := range sum[:5] {
		bits = bits<<8 | uint64(b)
	}
	code := make([]byte, codeLength)
	for i := range code {
		code[i] = codeLetters[bits>>(5*(codeLength-1-i))&31]
	}
	return string(code)
}

// symbol returns the dark modules of a code, row by row: a QR code of version 1
// and level H, which carries 10 such letters (ISO/IEC 18004, table 7).
func symbol(code string) [modules][modules]bool {
	var dark [modules][modules]bool
	qr, err := encoder.Encoder_encode(code, decoder.ErrorCorrectionLevel_H,
		map[gozxing.EncodeHintType]interface{}{gozxing.EncodeHintType_QR_VERSION: 1})
	if err != nil {
		panic("chart: a code that is no code: " + err.Error())
	}
	m := qr.GetMatrix()
	for y := range modules {
		for x := range modules {
			dark[y][x] = m.Get(x, y) == 1
		}
	}
	return dark
}
