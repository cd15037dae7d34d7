package chart

import (
	"math"
	"strconv"
)

// Measures of what stands on a chart, in micrometres; working values of ours
// unless they say otherwise.
const (
	markUM      = 7000
	smallMarkUM = 6000
	// smallFilmUM is the shorter side below which marks and code are small.
	smallFilmUM = 130_000
	gapUM       = 600 // clear film between patches
	apartUM     = 1000
	// letterUM is a pixel of the font: capitals are 2 mm high and strokes 0.4 mm
	// wide, which coated paper holds (common practice, no source).
	letterUM = 200
	lineUM   = 500 // thickness of a line

	rulerMostUM  = 100_000
	rulerStepUM  = 10_000
	rulerDepthUM = 6000 // ticks and label

	windowRoomUM = 1400 // around the window, for its corner ticks
	tapeUM       = 12_000
	tapeWideUM   = 13_000
	tapeHighUM   = 16_600 // with its label

	moduleUM      = 700 // of the code
	smallModuleUM = 500
	modules       = 21 // across, version 1 (ISO/IEC 18004)
	quietModules  = 4  // around the code (ISO/IEC 18004)

	markEveryUM = 80_000
	rowNameUM   = 3800 // the column of row letters beside the patches
	colNumberUM = 2800 // the line of column numbers above them
)

// form is what decides where everything but the patches stands on a page.
type form struct {
	kind             Kind
	w, h, margin     int
	windowW, windowH int // 0: no window
}

// plan is a page without its patches. It follows from its form alone, so that
// a chart read back from a file is drawn as it was.
type plan struct {
	form
	film, frame, inner box
	mark, band         int // diameter of a mark, and the width it takes with its clear film
	marks              []Mark
	corners            []corner
	level, upright     ruler
	text, caution      box
	window             box
	code               box   // the ink square, quiet zone included
	tape               box   // the box alone
	field              box   // where patches may stand
	fields             []box // the parts of it to try, whole first
	taken              []box
}

// corner is a patch of full ink or clear film beside a corner mark.
type corner struct {
	id   string
	full bool
	at   box
}

// ruler is a scale from x, y to the right, or down.
type ruler struct {
	x, y, length int
	upright      bool
}

// newPlan lays out a page; it reports false where the film is too small.
func newPlan(f form) (*plan, bool) {
	p := &plan{form: f, mark: markUM, film: box{0, 0, f.w, f.h}}
	if p.small() {
		p.mark = smallMarkUM
	}
	p.band = p.mark * 13 / 10 // MarkClear
	p.frame = p.film.grow(-f.margin)
	p.inner = p.frame.grow(-p.band)
	if p.inner.w < 2*p.cornerUM()+2*p.band || p.inner.h < 4*p.band {
		return nil, false
	}
	p.placeCorners()
	p.placeLeft()
	p.placeBottom()
	p.placeTop()
	p.placeRight()
	return p, p.placeFurniture()
}

func (p *plan) small() bool { return min(p.w, p.h) < smallFilmUM }

// cornerUM is what the two patches beside a corner mark take along the edge.
func (p *plan) cornerUM() int { return 2*(gapUM+p.mark) + apartUM }

func (p *plan) addMark(id string, x, y int) {
	p.marks = append(p.marks, Mark{ID: id, XMM: mm(x), YMM: mm(y), DiameterMM: mm(p.mark)})
}

// The centres of the corner marks.
func (p *plan) left() int   { return p.frame.x + p.band/2 }
func (p *plan) right() int  { return p.frame.right() - p.band/2 }
func (p *plan) top() int    { return p.frame.y + p.band/2 }
func (p *plan) bottom() int { return p.frame.bottom() - p.band/2 }

func (p *plan) placeCorners() {
	p.addMark("tl", p.left(), p.top())
	p.addMark("tr", p.right(), p.top())
	p.addMark("bl", p.left(), p.bottom())
	p.addMark("br", p.right(), p.bottom())
	step := gapUM + p.mark
	first := p.band/2 + gapUM + p.mark/2
	for _, c := range []struct {
		id        string
		x, y, way int
	}{
		{"tl", p.left(), p.top(), 1}, {"tr", p.right(), p.top(), -1},
		{"bl", p.left(), p.bottom(), 1}, {"br", p.right(), p.bottom(), -1},
	} {
		p.corners = append(p.corners,
			corner{"full-" + c.id, true, around(c.x+c.way*first, c.y, p.mark)},
			corner{"clear-" + c.id, false, around(c.x+c.way*(first+step), c.y, p.mark)})
	}
}

// between returns the band at the top or bottom between the corner patches.
func (p *plan) between(y int) box {
	side := p.band + p.cornerUM()
	return box{p.frame.x + side, y, p.frame.w - 2*side, p.band}
}

// edgeMarks is how many marks stand on an edge between its corners.
func edgeMarks(length int) int {
	return max(1, int(math.Round(float64(length)/markEveryUM))-1)
}

// The marks on the four edges stand at different shares of the edge, so that no
// turn and no mirror lays all marks on marks.

func (p *plan) placeTop() {
	free := p.between(p.frame.y)
	p.text = free
	length := p.right() - p.left()
	n, from := edgeMarks(length), free.x
	for i := range n {
		x := p.left() + length*(100*i+76)/(100*(n+1))
		x = min(max(x, free.x+p.band/2), free.right()-p.band/2)
		p.addMark(name("t", i), x, p.top())
		p.keepLonger(&p.text, from, x-p.band/2, i == 0)
		from = x + p.band/2 + apartUM
	}
	p.keepLonger(&p.text, from, free.right(), false)
}

// keepLonger makes free the stretch from..to of itself, when that is the first
// or longer than what it is now.
func (p *plan) keepLonger(free *box, from, to int, first bool) {
	if first || to-from > free.w {
		free.x, free.w = from, to-from
	}
}

func (p *plan) placeRight() {
	length := p.bottom() - p.top()
	n := edgeMarks(length)
	for i := range n {
		p.addMark(name("r", i), p.right(), p.top()+length*(100*i+64)/(100*(n+1)))
	}
}

// placeLeft puts the upright ruler below the corner mark and marks below it.
func (p *plan) placeLeft() {
	y := p.frame.y + p.band + apartUM
	room := p.bottom() - 20_000 - p.band/2 - apartUM - y
	p.upright = ruler{p.frame.x + apartUM, y, rulerLength(room), true}
	p.markOn("l", y+p.upright.length+apartUM+p.band/2, p.bottom(), p.bottom()-p.top(), func(id string, at int) { p.addMark(id, p.left(), at) })
}

// rulerLength is the longest ruler that has room.
func rulerLength(room int) int {
	return max(0, min(rulerMostUM, room/rulerStepUM*rulerStepUM))
}

// markOn puts the marks of an edge: one at first, the rest spread from there to
// the corner at end.
func (p *plan) markOn(edge string, first, end, length int, add func(id string, at int)) {
	n := edgeMarks(length)
	for i := range n {
		add(name(edge, i), first+(end-first)*i/n)
	}
}

// placeBottom puts the level ruler between the corner patches where 100 mm have
// room beside a mark, and else leaves it to a line of its own.
func (p *plan) placeBottom() {
	free := p.between(p.frame.bottom() - p.band)
	length := p.right() - p.left()
	at := func(id string, x int) { p.addMark(id, x, p.bottom()) }
	p.caution = free
	if free.w >= rulerMostUM+2*apartUM+p.band {
		p.level = ruler{free.x + apartUM, free.y + apartUM, rulerMostUM, false}
		first := p.level.x + rulerMostUM + apartUM + p.band/2
		p.markOn("b", first, p.right(), length, at)
		from := first + p.band/2 + apartUM
		to := free.right()
		if edgeMarks(length) > 1 {
			to = min(to, first+(p.right()-first)/edgeMarks(length)-p.band/2)
		}
		p.keepLonger(&p.caution, from, to, true)
		return
	}
	n := edgeMarks(length)
	from := free.x
	for i := range n {
		x := p.left() + length*(100*i+96)/(100*(n+1))
		at(name("b", i), x)
		p.keepLonger(&p.caution, from, x-p.band/2, i == 0)
		from = x + p.band/2 + apartUM
	}
	p.keepLonger(&p.caution, from, free.right(), false)
	p.level = ruler{p.inner.x + apartUM, p.inner.bottom() - rulerDepthUM + apartUM/2, rulerLength(p.inner.w - 2*apartUM), false}
}

func name(edge string, i int) string { return edge + strconv.Itoa(i+1) }
