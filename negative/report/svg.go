package report

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strconv"
	"strings"
)

// sheetSize is the form in which a figure is drawn for a page. A figure is drawn
// twice, and the page shows the one that fits: letters must not shrink with it.
type sheetSize struct {
	class         string
	width, height float64 // of the plot with its ticks, CSS pixels; names add to the height
	ticks         int     // on the lower axis, at most
}

var (
	wideSheet   = sheetSize{"wide", 704, 410, 11}
	narrowSheet = sheetSize{"narrow", 328, 300, 6}
)

// The letters' measures in pixels: 13 pixels high, and as wide as broad sans-serif
// letters are on the average, with a little room. A page's font is not known
// here.
const (
	letterWidth = 7.6
	lineHeight  = 17
	digitWidth  = 7.4
)

// drawing is a figure being drawn: the plot's edges in pixels, the values at
// them, and the elements so far.
type drawing struct {
	strings.Builder
	size                     sheetSize
	left, right, top, bottom float64
	x0, x1, y0, y1           float64
	taken                    []box // by names
}

// atX returns where a value lies. The barriers keep coordinates the same on all
// processors.
func (d *drawing) atX(v float64) float64 {
	return d.left + float64((d.right-d.left)*float64((v-d.x0)/(d.x1-d.x0)))
}

func (d *drawing) atY(v float64) float64 {
	return d.bottom - float64((d.bottom-d.top)*float64((v-d.y0)/(d.y1-d.y0)))
}

// put adds an element.
func (d *drawing) put(format string, args ...any) { fmt.Fprintf(d, format+"\n", args...) }

// px writes a coordinate to a tenth of a pixel.
func px(v float64) string {
	text := strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	if text == "-0" {
		return "0"
	}
	return text
}

// drawSVG draws a figure that has been checked, as an element for a page. Its
// colours are classes of the page's style; its letters are text. id is the
// section's; title and description are for who does not see it.
func drawSVG(size sheetSize, id string, f Figure) template.HTML {
	d := &drawing{size: size}
	if len(f.Bars) > 0 {
		d.bars(f)
	} else {
		d.curves(f)
	}
	name := id + "-" + size.class
	head := fmt.Sprintf(`<svg class="plot %s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title" aria-describedby="%s-desc">`+"\n"+
		`<title id="%s-title">%s</title>`+"\n"+`<desc id="%s-desc">%s</desc>`+"\n",
		size.class, px(size.width), px(d.height(f)), name, name, name, escaped(f.Title), name, escaped(describe(f)))
	return template.HTML(head + d.String() + "</svg>\n")
}

// escaped returns text as it stands between tags.
func escaped(text string) string { return html.EscapeString(printable(text)) }

// height is that of the whole drawing: the plot ends above its ticks and label.
func (d *drawing) height(f Figure) float64 {
	return d.bottom + 24 + lineHeight*float64(len(wrapped(f.X.Label, d.size.width)))
}

// curves draws a figure of lines and points, from the back to the front.
func (d *drawing) curves(f Figure) {
	f.dataEnds(d)
	d.place(f)
	d.axes(f)
	for i, s := range plain(f.Series) {
		d.band(i, s)
	}
	d.guides(f)
	for i, s := range plain(f.Series) {
		d.line(fmt.Sprintf("line c%d", i%len(lineColours)), s)
	}
	for _, s := range f.Series {
		if s.Aim {
			d.line("aim", s)
		}
	}
	d.points(f.Points)
	d.guideNames(f)
}

// plain are the series that are no aims; colours count these alone.
func plain(all []Series) []Series {
	var out []Series
	for _, s := range all {
		if !s.Aim {
			out = append(out, s)
		}
	}
	return out
}

// dataEnds gives the axes their ends: those that the figure wants, or those of all
// that is drawn with a little room.
func (f Figure) dataEnds(d *drawing) {
	x, y := newSpan(), newSpan()
	for _, s := range f.Series {
		x.take(s.X...)
		y.take(s.Y...)
		y.take(s.Low...)
		y.take(s.High...)
	}
	for _, p := range f.Points {
		x.take(p.X...)
		y.take(p.Y...)
	}
	for _, g := range f.Guides {
		x.take(g.X)
		y.take(g.Y)
	}
	d.x0, d.x1 = x.ends(f.X)
	d.y0, d.y1 = y.ends(f.Y)
}

// span is the least and the greatest of some values.
type span struct{ low, high float64 }

func newSpan() span { return span{math.Inf(1), math.Inf(-1)} }

// take widens the span to hold values; NaN is none.
func (s *span) take(values ...float64) {
	for _, v := range values {
		if !math.IsNaN(v) {
			s.low, s.high = min(s.low, v), max(s.high, v)
		}
	}
}

// ends are those that an axis wants, else those of the span with a little room.
func (s span) ends(wanted Axis) (from, to float64) {
	switch {
	case wanted.Min != wanted.Max:
		return wanted.Min, wanted.Max
	case s.low > s.high: // nothing was taken
		return 0, 1
	}
	return roomy(s.low, s.high)
}
