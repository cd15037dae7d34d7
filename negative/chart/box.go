package chart

import "math"

// umPerMM: the geometry of a chart is in whole micrometres.
const umPerMM = 1000

// um returns millimetres in whole micrometres.
func um(mm float64) int { return int(math.Round(mm * umPerMM)) }

// mm returns micrometres in millimetres.
func mm(um int) float64 { return float64(um) / umPerMM }

// box is a rectangle in micrometres; x, y is its top-left corner.
type box struct{ x, y, w, h int }

func (b box) right() int  { return b.x + b.w }
func (b box) bottom() int { return b.y + b.h }

// grow returns b with d added on each side.
func (b box) grow(d int) box { return box{b.x - d, b.y - d, b.w + 2*d, b.h + 2*d} }

// meets reports whether two boxes share some area.
func (b box) meets(c box) bool {
	return b.x < c.right() && c.x < b.right() && b.y < c.bottom() && c.y < b.bottom()
}

// holds reports whether c lies in b.
func (b box) holds(c box) bool {
	return c.x >= b.x && c.y >= b.y && c.right() <= b.right() && c.bottom() <= b.bottom()
}

// around returns the square of a side about a centre.
func around(x, y, side int) box { return box{x - side/2, y - side/2, side, side} }

func (b box) rect() Rect { return Rect{mm(b.x), mm(b.y), mm(b.w), mm(b.h)} }

// box returns r in micrometres.
func (r Rect) box() box { return box{um(r.XMM), um(r.YMM), um(r.WidthMM), um(r.HeightMM)} }

// optional returns b as a place that a page may lack: nil when b has no area.
func (b box) optional() *Rect {
	if b.w == 0 {
		return nil
	}
	r := b.rect()
	return &r
}

// grid turns micrometres into pixels at a resolution in thousandths of a pixel
// an inch.
type grid struct{ milliPPI int }

func gridOf(ppi float64) grid { return grid{int(math.Round(ppi * 1000))} }

// umPerInch times 1000, as the resolution is in thousandths.
const milliUMPerInch = 25_400_000

// px returns the pixel edge nearest to a place: round(mm x ppi / 25.4).
func (g grid) px(um int) int {
	return int(floorDiv(2*int64(um)*int64(g.milliPPI)+milliUMPerInch, 2*milliUMPerInch))
}

// fine returns a place in 256ths of a pixel.
func (g grid) fine(um int) int64 {
	return floorDiv(512*int64(um)*int64(g.milliPPI)+milliUMPerInch, 2*milliUMPerInch)
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// span is a rectangle of pixels: x0, y0 inside, x1, y1 outside.
type span struct{ x0, y0, x1, y1 int }

func (g grid) span(b box) span {
	return span{g.px(b.x), g.px(b.y), g.px(b.right()), g.px(b.bottom())}
}
