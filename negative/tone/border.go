package tone

import (
	"math"

	"actinic/negative/letters"
)

// Measures of what surrounds a picture, in millimetres.
const (
	keylineMM   = 0.3 // thickness of a line
	marksMM     = 8.0 // band that holds the registration marks
	markArmMM   = 5.0 // length of a mark's arms, end to end
	gapMM       = 2.0 // clear film between picture, strip and label
	patchHighMM = 8.0
	patchWideMM = 10.0
	letterMM    = 2.8 // height of a letter with its line
)

// border is a film upright, as the print shows it: the picture's place, and
// what is drawn around it. Film that nothing is drawn on stays clear.
type border struct {
	width, height int
	picture       rect // the print: picture and padding
	marks         []mark
	clear, full   []uint16 // printer codes
	ppi           float64
}

// mark is one thing drawn: a filled rectangle, or text stretched over it.
type mark struct {
	at    rect
	codes []uint16
	shape *letters.Mask
}

// newBorder lays out the film around a print of width x height pixels.
func newBorder(width, height int, ppi float64, film *InkTable, o *Options) *border {
	b := &border{ppi: ppi, clear: film.InkCodes(0), full: film.InkCodes(100)}
	edge, band := 0, 0
	if o.Edge != EdgeNone {
		edge = b.px(o.EdgeMM)
	}
	if o.Edge == EdgeKeyline {
		edge += b.thin()
	}
	if o.Marks {
		band = b.px(marksMM)
	}
	side := edge + band
	b.width, b.height = width+2*side, height+2*side
	b.picture = rect{side, side, side + width, side + height}
	b.drawEdge(o.Edge, edge)
	if o.Marks {
		b.drawMarks(edge)
	}
	if o.CheckStrip {
		b.drawStrip(film, o.Positive)
	}
	b.drawLabel(o.Label)
	return b
}

func (b *border) px(mm float64) int { return pixels(mm, b.ppi) }
func (b *border) thin() int         { return max(b.px(keylineMM), 1) }

func (b *border) fill(r rect, codes []uint16) {
	if r.x1 > r.x0 && r.y1 > r.y0 {
		b.marks = append(b.marks, mark{at: r, codes: codes})
	}
}

func grow(r rect, by int) rect { return rect{r.x0 - by, r.y0 - by, r.x1 + by, r.y1 + by} }

func (b *border) drawEdge(e Edge, width int) {
	switch e {
	case EdgeOpaque:
		b.fill(grow(b.picture, width), b.full)
	case EdgeKeyline:
		b.fill(grow(b.picture, width), b.full)
		b.fill(grow(b.picture, width-b.thin()), b.clear)
	}
}

// drawMarks puts a cross at each corner of the band outside the edge.
func (b *border) drawMarks(edge int) {
	outer := grow(b.picture, edge)
	half, arm, thin := b.px(marksMM)/2, b.px(markArmMM)/2, b.thin()
	for _, x := range []int{outer.x0 - half, outer.x1 + half} {
		for _, y := range []int{outer.y0 - half, outer.y1 + half} {
			b.fill(rect{x - arm, y - thin/2, x + arm, y - thin/2 + thin}, b.full)
			b.fill(rect{x - thin/2, y - arm, x - thin/2 + thin, y + arm}, b.full)
		}
	}
}

// drawStrip adds the check strip below everything drawn so far, in a frame of
// one line, its numbers under it.
func (b *border) drawStrip(film *InkTable, positive bool) {
	patches := StripTones()
	wide := min(b.px(patchWideMM), b.width/len(patches))
	high, thin := b.px(patchHighMM), b.thin()
	left, top := (b.width-wide*len(patches))/2, b.height+b.px(gapMM)
	frame := rect{left, top, left + wide*len(patches), top + high}
	b.fill(rect{max(frame.x0-thin, 0), frame.y0 - thin, min(frame.x1+thin, b.width), frame.y1 + thin}, b.full)
	for i, p := range patches {
		tone := p.Tone
		if positive {
			tone = 100 - tone
		}
		at := rect{left + i*wide, top, left + (i+1)*wide, top + high}
		b.fill(at, film.Codes(tone))
		b.write(stripNumber(p.Number), at.x0, at.x1, frame.y1+2*thin)
	}
	b.height = frame.y1 + 2*thin + b.lineHeight()
}

func stripNumber(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return string(rune('0'+n/10)) + string(rune('0'+n%10))
}

// scale is how many pixels of film a pixel of the font takes each way.
func (b *border) scale() int {
	return max(int(math.Round(letterMM*b.ppi/25.4/letters.Height)), 1)
}

func (b *border) lineHeight() int { return b.scale() * letters.Height }

// write centres a line of text between left and right, its top at top.
func (b *border) write(text string, left, right, top int) {
	m := letters.Line(text)
	wide, high := m.Width*b.scale(), m.Height*b.scale()
	x := (left + right - wide) / 2
	b.marks = append(b.marks, mark{at: rect{x, top, x + wide, top + high}, codes: b.full, shape: &m})
}

// drawLabel adds the label below everything drawn so far, in as many lines as
// it takes.
func (b *border) drawLabel(text string) {
	for i, line := range letters.Wrap(text, b.width/(b.scale()*letters.Width)) {
		if i == 0 {
			b.height += b.px(gapMM) / 2
		}
		b.write(line, 0, b.width, b.height)
		b.height += b.lineHeight()
	}
}

// row draws film row y, upright, into dst: width pixels of len(clear) samples.
// The picture's own pixels are left to the caller.
func (b *border) row(dst []uint16, y int) {
	paint(dst, b.clear, 0, b.width)
	for i := range b.marks {
		if m := &b.marks[i]; y >= m.at.y0 && y < m.at.y1 {
			m.row(dst, y, b.width)
		}
	}
}

// alike returns rows around y that look as y does.
func (b *border) alike(y int) span {
	s := span{0, b.height}
	edge := func(at int) {
		if at <= y {
			s.from = max(s.from, at)
		} else {
			s.to = min(s.to, at)
		}
	}
	edge(b.picture.y0)
	edge(b.picture.y1)
	for i := range b.marks {
		m := &b.marks[i]
		edge(m.at.y0)
		edge(m.at.y1)
		if m.shape != nil && y >= m.at.y0 && y < m.at.y1 {
			scale := m.at.height() / m.shape.Height
			line := m.at.y0 + (y-m.at.y0)/scale*scale
			edge(line)
			edge(line + scale)
		}
	}
	return s
}

func (m *mark) row(dst []uint16, y, width int) {
	if m.shape == nil {
		paint(dst, m.codes, max(m.at.x0, 0), min(m.at.x1, width))
		return
	}
	scale := m.at.height() / m.shape.Height
	line := m.shape.On[(y-m.at.y0)/scale*m.shape.Width:][:m.shape.Width]
	for i, on := range line {
		if x := m.at.x0 + i*scale; on {
			paint(dst, m.codes, max(x, 0), min(x+scale, width))
		}
	}
}

// paint sets pixels x0..x1 of a row to codes.
func paint(dst, codes []uint16, x0, x1 int) {
	n := len(codes)
	for x := x0; x < x1; x++ {
		copy(dst[x*n:x*n+n], codes)
	}
}

// reverse mirrors a row of pixels of channels samples.
func reverse(row []uint16, channels int) {
	for a, z := 0, len(row)-channels; a < z; a, z = a+channels, z-channels {
		for c := range channels {
			row[a+c], row[z+c] = row[z+c], row[a+c]
		}
	}
}
