package chart

import "actinic/negative/letters"

// reach is the rows that a shape touches, and its turn in the order of drawing:
// later shapes cover earlier ones.
type reach struct{ from, to, order int }

// shape is one thing drawn on a page.
type shape interface {
	rows() reach
	// draw paints what the shape has in row y, one of its rows.
	draw(dst []uint16, y int)
}

// filled is a rectangle of one ink.
type filled struct {
	at    span
	codes []uint16
	order int
}

func (f *filled) rows() reach              { return reach{f.at.y0, f.at.y1, f.order} }
func (f *filled) draw(dst []uint16, y int) { paint(dst, f.codes, f.at.x0, f.at.x1) }

// lettered is text stretched over a rectangle of pixels.
type lettered struct {
	at    span
	mask  letters.Mask
	codes []uint16
	order int
}

func (l *lettered) rows() reach { return reach{l.at.y0, l.at.y1, l.order} }

func (l *lettered) draw(dst []uint16, y int) {
	wide, high := l.at.x1-l.at.x0, l.at.y1-l.at.y0
	my := (y - l.at.y0) * l.mask.Height / high
	for x := range wide {
		if l.mask.At(x*l.mask.Width/wide, my) {
			paint(dst, l.codes, l.at.x0+x, l.at.x0+x+1)
		}
	}
}

// ringed is a mark: pixels whose middle lies in the disc are ink, but for the
// clear ring. Centre and radii are in 256ths of a pixel.
type ringed struct {
	x, y, dot, ring, edge int64
	codes, clear          []uint16
	order                 int
}

func (r *ringed) rows() reach {
	return reach{int(floorDiv(r.y-r.edge, 256)), int(floorDiv(r.y+r.edge, 256)) + 1, r.order}
}

func (r *ringed) draw(dst []uint16, y int) {
	dy := int64(256*y+128) - r.y
	for x := int(floorDiv(r.x-r.edge, 256)); x <= int(floorDiv(r.x+r.edge, 256)); x++ {
		dx := int64(256*x+128) - r.x
		switch far := dx*dx + dy*dy; {
		case far > r.edge*r.edge:
		case far > r.ring*r.ring || far <= r.dot*r.dot:
			paint(dst, r.codes, x, x+1)
		default:
			paint(dst, r.clear, x, x+1)
		}
	}
}
