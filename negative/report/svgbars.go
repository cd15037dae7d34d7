package report

import (
	"fmt"
	"math"
	"unicode/utf8"
)

const (
	barRow     = 30.0 // pixels from bar to bar
	barThick   = 19.0
	swatchSide = 17.0
	tipLength  = 12.0
)

// bars draws a figure of bars: one a row, the first on top, its name and its
// swatch at the left.
func (d *drawing) bars(f Figure) {
	d.barEnds(f)
	names := 0
	for _, b := range f.Bars {
		names = max(names, utf8.RuneCountInString(b.Name))
	}
	d.left = math.Ceil(min(float64(digitWidth*float64(names)), d.size.width/2)) + swatchSide + 20
	d.right = d.size.width - 16
	d.top = 8 + lineHeight*float64(d.guideRows(f.Guides))
	d.bottom = d.top + 4 + float64(barRow*float64(len(f.Bars)))
	d.gridX()
	d.labelX(f.X.Label)
	for i, b := range f.Bars {
		d.bar(b, d.top+2+float64(barRow*(float64(i)+0.5)))
	}
	d.put(`<path class="frame" d="M%s %sV%sH%s"/>`, px(d.left), px(d.top), px(d.bottom), px(d.right))
	d.guides(f)
	d.guideNames(f)
}

// barRange holds all bars, from 0.
func (f Figure) barRange() span {
	s := newSpan()
	s.take(0)
	for _, b := range f.Bars {
		s.take(b.Value)
		if !b.Open {
			s.take(b.Low, b.High)
		}
	}
	for _, g := range f.Guides {
		s.take(g.X)
	}
	return s
}

func (d *drawing) barEnds(f Figure) {
	d.x0, d.x1 = f.barRange().ends(f.X)
	d.y0, d.y1 = 0, 1
}

// bar draws one bar about the height y: an open one runs out in a point.
func (d *drawing) bar(b Bar, y float64) {
	class := "short"
	if b.Reaches {
		class = "reach"
	}
	d.text("", d.left-swatchSide-14, y+4.5, "end", b.Name)
	d.put(`<rect class="swatch" fill="#%02x%02x%02x" x="%s" y="%s" width="%s" height="%s"/>`, b.Swatch.R, b.Swatch.G, b.Swatch.B,
		px(d.left-swatchSide-7), px(y-swatchSide/2), px(swatchSide), px(swatchSide))
	left, right, top, low := px(d.atX(0)), px(d.atX(b.Value)), px(y-barThick/2), px(y+barThick/2)
	if b.Open {
		d.put(`<path class="%s" d="M%s %sH%sL%s %sL%s %sH%s"/>`, class, left, top, right, px(d.atX(b.Value)+tipLength), px(y), right, low, left)
	} else {
		d.put(`<path class="%s" d="M%s %sH%sV%sH%sZ"/>`, class, left, top, right, low, left)
		d.put(`<path class="whisker" d="%s"/>`, whiskerPath(d.atX(b.Low), d.atX(b.High), y))
	}
	if b.Note != "" {
		d.text("", d.atX(0)+7, y+4.5, "start", b.Note)
	}
}

// whiskerPath is a band from side to side, with caps.
func whiskerPath(low, high, y float64) string {
	return fmt.Sprintf("M%s %sH%sM%s %sv9M%s %sv9", px(low), px(y), px(high), px(low), px(y-4.5), px(high), px(y-4.5))
}
