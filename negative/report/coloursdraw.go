package report

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// barRows draws bars, one a row, the first on top.
type barRows []Bar

const (
	swatchSize = 20 * pixel
	swatchGap  = 9 * pixel // between swatch and axis
	barHeight  = 0.62      // of a row
	openTip    = 14 * pixel
	capHeight  = 9 * pixel
)

// swatchRoom is what stands behind a label to leave room for its swatch.
const swatchRoom = "         "

// at is where row i lies on the upright axis.
func (b barRows) at(i int) float64 { return float64(len(b) - 1 - i) }

// dress gives the upright axis the names of the colours.
func (b barRows) dress(axis *plot.Axis) {
	marks := make([]plot.Tick, len(b))
	for i, one := range b {
		marks[i] = plot.Tick{Value: b.at(i), Label: one.Name + swatchRoom}
	}
	axis.Tick.Marker = plot.ConstantTicks(marks)
	axis.Tick.Length = 0
	axis.Min, axis.Max = -0.6, float64(len(b))-0.4
}

// DataRange makes room for all bars and their whiskers.
func (b barRows) DataRange() (xmin, xmax, ymin, ymax float64) {
	for _, one := range b {
		xmax = max(xmax, one.Value)
		xmin = min(xmin, one.Value)
		if !one.Open {
			xmax, xmin = max(xmax, one.High), min(xmin, one.Low)
		}
	}
	return xmin, xmax, -0.6, float64(len(b)) - 0.4
}

// Plot draws the rows.
func (b barRows) Plot(c draw.Canvas, p *plot.Plot) {
	atX, atY := p.Transforms(&c)
	half := (atY(1) - atY(0)) * barHeight / 2
	for i, one := range b {
		y := atY(b.at(i))
		one.swatch(c, y, min(half, swatchSize/2))
		one.draw(c, atX, y, half)
	}
}

func (b Bar) fill() color.Color {
	if b.Reaches {
		return paler(lineColours[0])
	}
	return gridColour
}

func (b Bar) edge() draw.LineStyle {
	if b.Reaches {
		return draw.LineStyle{Color: lineColours[0], Width: 1.5 * pixel}
	}
	return draw.LineStyle{Color: guideColour, Width: 1.5 * pixel, Dashes: []vg.Length{4 * pixel, 3 * pixel}}
}

// swatch draws the colour's square left of the axis, with an outline.
func (b Bar) swatch(c draw.Canvas, y, half vg.Length) {
	box := rectangle(c.Min.X-swatchGap-swatchSize, c.Min.X-swatchGap, y-half, y+half)
	c.FillPolygon(b.Swatch, box)
	c.StrokeLines(draw.LineStyle{Color: guideColour, Width: pixel}, append(box, box[0]))
}

// draw draws bar, whisker or open tip, and note.
func (b Bar) draw(c draw.Canvas, atX func(float64) vg.Length, y, half vg.Length) {
	left, right := atX(0), atX(b.Value)
	if b.Open {
		b.openBar(c, left, right, y, half)
	} else {
		box := rectangle(left, right, y-half, y+half)
		c.FillPolygon(b.fill(), box)
		c.StrokeLines(b.edge(), append(box, box[0]))
		whisker(c, atX(b.Low), atX(b.High), y)
	}
	c.FillText(text.Style{Color: inkColour, Font: sans(13), Handler: plot.DefaultTextHandler, YAlign: text.YCenter},
		vg.Point{X: left + 8*pixel, Y: y}, b.Note)
}

// openBar draws a bar without an end: it runs out in a point.
func (b Bar) openBar(c draw.Canvas, left, right, y, half vg.Length) {
	c.FillPolygon(b.fill(), []vg.Point{{X: left, Y: y - half}, {X: right, Y: y - half}, {X: right + openTip, Y: y}, {X: right, Y: y + half}, {X: left, Y: y + half}})
	c.StrokeLines(b.edge(), []vg.Point{{X: right, Y: y - half}, {X: left, Y: y - half}, {X: left, Y: y + half}, {X: right, Y: y + half}})
	arrow := draw.LineStyle{Color: inkColour, Width: 1.5 * pixel}
	tip := right + openTip
	c.StrokeLine2(arrow, right-openTip, y, tip, y)
	c.StrokeLines(arrow, []vg.Point{{X: tip - 6*pixel, Y: y + 5*pixel}, {X: tip, Y: y}, {X: tip - 6*pixel, Y: y - 5*pixel}})
}

// whisker draws a band from side to side.
func whisker(c draw.Canvas, low, high, y vg.Length) {
	line := draw.LineStyle{Color: inkColour, Width: 1.5 * pixel}
	c.StrokeLine2(line, low, y, high, y)
	for _, x := range []vg.Length{low, high} {
		c.StrokeLine2(line, x, y-capHeight/2, x, y+capHeight/2)
	}
}

func rectangle(left, right, low, high vg.Length) []vg.Point {
	return []vg.Point{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: high}, {X: left, Y: high}}
}

// legend says what the bars' forms mean, of those that are drawn.
func (b barRows) legend() []entry {
	var out []entry
	add := func(name string, is func(Bar) bool, sample Bar) {
		for _, one := range b {
			if is(one) {
				out = append(out, entry{name, []plot.Thumbnailer{barSample(sample)}})
				return
			}
		}
	}
	add("reaches the needed range", func(one Bar) bool { return one.Reaches }, Bar{Reaches: true, Open: true, Note: "bar"})
	add("does not surely reach it", func(one Bar) bool { return !one.Reaches }, Bar{Open: true, Note: "bar"})
	add("doubt (95 %)", func(one Bar) bool { return !one.Open }, Bar{Note: "whisker"})
	add("at least", func(one Bar) bool { return one.Open }, Bar{Note: "arrow"})
	return out
}

// barSample is a bar's form as the legend shows it; Note says which part.
type barSample Bar

// Thumbnail draws the sample.
func (s barSample) Thumbnail(c *draw.Canvas) {
	b, middle := Bar(s), (c.Min.Y+c.Max.Y)/2
	switch s.Note {
	case "bar":
		box := rectangle(c.Min.X, c.Max.X, c.Min.Y, c.Max.Y)
		c.FillPolygon(b.fill(), box)
		c.StrokeLines(b.edge(), append(box, box[0]))
	case "whisker":
		whisker(*c, c.Min.X+4*pixel, c.Max.X-4*pixel, middle)
	case "arrow":
		line := draw.LineStyle{Color: inkColour, Width: 1.5 * pixel}
		c.StrokeLine2(line, c.Min.X, middle, c.Max.X, middle)
		c.StrokeLines(line, []vg.Point{{X: c.Max.X - 6*pixel, Y: middle + 5*pixel}, {X: c.Max.X, Y: middle}, {X: c.Max.X - 6*pixel, Y: middle - 5*pixel}})
	}
}
