package tone

import (
	"image"
	"strings"

	"golang.org/x/image/font/inconsolata"
	"golang.org/x/image/math/fixed"
)

// A line of text is drawn from a bitmap font in whole multiples of its pixels,
// so that it is the same on each processor, and one colour of ink.
const (
	letterWidth  = 8
	letterHeight = 16
)

// mask is a small picture of ink and no ink.
type mask struct {
	width, height int
	on            []bool
}

// letters draws a line of text at the font's own size. A letter that the font
// lacks becomes its replacement sign.
func letters(text string) mask {
	runes := []rune(text)
	m := mask{width: letterWidth * len(runes), height: letterHeight}
	m.on = make([]bool, m.width*m.height)
	for i, r := range runes {
		m.letter(r, i*letterWidth)
	}
	return m
}

func (m mask) letter(r rune, left int) {
	face := inconsolata.Bold8x16
	dr, bits, at, _, ok := face.Glyph(fixed.P(left, face.Ascent), r)
	if !ok {
		return
	}
	at = at.Sub(dr.Min)
	dr = dr.Intersect(image.Rect(0, 0, m.width, m.height))
	for y := dr.Min.Y; y < dr.Max.Y; y++ {
		for x := dr.Min.X; x < dr.Max.X; x++ {
			_, _, _, alpha := bits.At(at.X+x, at.Y+y).RGBA()
			m.on[y*m.width+x] = alpha >= 0x8000
		}
	}
}

// wrap breaks text between words into lines of at most columns letters; a word
// that is longer stands on a line of its own, broken.
func wrap(text string, columns int) []string {
	columns = max(columns, 1)
	var lines []string
	line := []rune{}
	for _, word := range strings.Fields(text) {
		w := []rune(word)
		if len(line) > 0 && len(line)+1+len(w) > columns {
			lines, line = append(lines, string(line)), nil
		}
		if len(line) > 0 {
			line = append(line, ' ')
		}
		line = append(line, w...)
		for len(line) > columns {
			lines, line = append(lines, string(line[:columns])), line[columns:]
		}
	}
	if len(line) > 0 {
		lines = append(lines, string(line))
	}
	return lines
}
