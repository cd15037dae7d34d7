package report

import (
	xfont "golang.org/x/image/font"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// entry is one line of the legend: a name and the sample drawn beside it.
type entry struct {
	name   string
	sample []plot.Thumbnailer
}

const (
	titleHeight  = 34 * pixel
	legendHeight = 24 * pixel
	sampleWidth  = 40 * pixel
	sampleGap    = 8 * pixel
	entryGap     = 28 * pixel
)

// heading draws the title and the legend, in rows above the plot so that they
// hide nothing of it, and returns what is left of the page below.
func heading(page draw.Canvas, title string, entries []entry) draw.Canvas {
	style := text.Style{
		Color: inkColour, Font: sans(20), Handler: plot.DefaultTextHandler, YAlign: text.YTop,
	}
	style.Font.Weight = xfont.WeightBold
	page.FillText(style, vg.Point{X: page.Min.X, Y: page.Max.Y}, title)
	top := page.Max.Y - titleHeight
	style = text.Style{
		Color: inkColour, Font: sans(15), Handler: plot.DefaultTextHandler, YAlign: text.YCenter,
	}
	left := page.Min.X
	for i, e := range entries {
		width := sampleWidth + sampleGap + style.Width(e.name)
		if i > 0 && left+width > page.Max.X {
			left, top = page.Min.X, top-legendHeight
		}
		e.draw(page, style, left, top)
		left += width + entryGap
	}
	if len(entries) > 0 {
		top -= legendHeight
	}
	page.Max.Y = top
	return page
}

// draw puts the sample at left and the name after it, in the row below top.
func (e entry) draw(page draw.Canvas, style text.Style, left, top vg.Length) {
	const inset = 5 * pixel
	box := page
	box.Min = vg.Point{X: left, Y: top - legendHeight + inset}
	box.Max = vg.Point{X: left + sampleWidth, Y: top - inset}
	for _, s := range e.sample {
		s.Thumbnail(&box)
	}
	middle := vg.Point{X: box.Max.X + sampleGap, Y: top - legendHeight/2}
	page.FillText(style, middle, e.name)
}
