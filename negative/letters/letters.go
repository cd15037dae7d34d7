package letters

import (
	"image"
	"strings"

	"golang.org/x/image/font/inconsolata"
	"golang.org/x/image/math/fixed"
)

// Width and Height are the size of one letter with the space around it, in
// pixels of the font.
const (
	Width  = 8
	Height = 16
)

// Capitals and figures lie in the rows from CapTop up to, not including,
// Baseline; letters such as g reach down to the last row.
const (
	CapTop   = 4
	Baseline = 14
)

// Mask is a small picture of ink and no ink, row by row from the top.
type Mask struct {
	Width, Height int
	On            []bool
}

// At reports whether pixel x, y is ink.
func (m *Mask) At(x, y int) bool { return m.On[y*m.Width+x] }

// Line draws a line of text at the font's own size: Width pixels a letter,
// Height pixels high. A letter that the font lacks becomes its replacement sign.
func Line(text string) Mask {
	runes := []rune(text)
	m := Mask{Width: Width * len(runes), Height: Height}
	m.On = make([]bool, m.Width*m.Height)
	for i, r := range runes {
		m.letter(r, i*Width)
	}
	return m
}

func (m Mask) letter(r rune, left int) {
	face := inconsolata.Bold8x16
	dr, bits, at, _, ok := face.Glyph(fixed.P(left, face.Ascent), r)
	if !ok {
		return
	}
	at = at.Sub(dr.Min)
	dr = dr.Intersect(image.Rect(0, 0, m.Width, m.Height))
	for y := dr.Min.Y; y < dr.Max.Y; y++ {
		for x := dr.Min.X; x < dr.Max.X; x++ {
			_, _, _, alpha := bits.At(at.X+x, at.Y+y).RGBA()
			m.On[y*m.Width+x] = alpha >= 0x8000
		}
	}
}

// Turned returns the mask turned a quarter clockwise: the text then reads from
// the top down.
func (m Mask) Turned() Mask {
	t := Mask{Width: m.Height, Height: m.Width, On: make([]bool, len(m.On))}
	for y := range m.Height {
		for x := range m.Width {
			t.On[x*t.Width+t.Width-1-y] = m.On[y*m.Width+x]
		}
	}
	return t
}

// Wrap breaks text between words into lines of at most columns letters; a word
// that is longer stands on a line of its own, broken.
func Wrap(text string, columns int) []string {
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
