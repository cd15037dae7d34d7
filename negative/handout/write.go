package handout

import (
	"io"
	"time"
)

var epoch = time.Unix(0, 0).UTC()

// Measures of a page, in millimetres (working values of ours).
const (
	marginMM  = 12.5
	gutterMM  = 6.5
	bottomMM  = 10.0
	footGapMM = 2.5
)

// Write writes handouts, each from a page of its own, as one PDF, and returns
// where each lies. The same input gives the same bytes. It returns the first
// error of w.
//
// It panics when there is none.
func Write(w io.Writer, all []Handout, o Options) ([]Placed, error) {
	if len(all) == 0 {
		panic("handout: none to write")
	}
	if o.Paper == (Paper{}) {
		o.Paper = papers[0]
	}
	b := &book{pen: newPen(o), o: o}
	b.foot = b.planFoot()
	var placed []Placed
	for i := range all {
		first := b.pen.pdf.PageCount() + 1
		placed = append(placed, Placed{first, b.handout(&all[i])})
	}
	return placed, b.pen.pdf.Output(w)
}

// book is a file on its way.
type book struct {
	pen    *pen
	o      Options
	foot   []line
	images int
}

func (b *book) widthMM() float64  { return b.o.Paper.WidthMM - 2*marginMM }
func (b *book) columnMM() float64 { return (b.widthMM() - gutterMM) / 2 }

// tightest are the factors on the type of columns that are tried to save a page:
// with the least, small letters are still 1.25 mm high.
var tightest = []float64{1, 0.97, 0.94}

// handout writes all pages of one and returns how many.
func (b *book) handout(h *Handout) int {
	head, pages := b.plan(h, 1)
	for _, f := range tightest[1:] {
		if closer, fewer := b.plan(h, f); len(fewer) < len(pages) {
			head, pages = closer, fewer
			break
		}
	}
	for i, spots := range pages {
		b.pen.pdf.AddPage()
		if i == 0 {
			head.draw(len(pages))
		} else {
			b.nextHead(h, i+1, len(pages))
		}
		for _, s := range spots {
			s.row.draw(s.x, s.y)
		}
		b.drawFoot()
	}
	return len(pages)
}

// plan says where everything goes with the type of the columns made smaller by a
// factor.
func (b *book) plan(h *Handout, tight float64) (head, [][]spot) {
	c, n := &column{pen: b.pen, widthMM: b.columnMM()}, &notes{}
	top := b.planHead(h, n)
	b.pen.tight = tight
	h.content(c, n)
	b.pen.tight = 1
	return top, flow(c.rows, func(page int) []area {
		y := marginMM + nextHeadMM
		if page == 0 {
			y = marginMM + top.heightMM
		}
		height := b.footTop() - footGapMM - y
		return []area{{marginMM, y, height}, {marginMM + b.columnMM() + gutterMM, y, height}}
	})
}
