package report

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Colours that stay apart for colour-blind readers (Okabe and Ito 2008, Color
// Universal Design: blue, vermilion, bluish green, reddish purple), and greys.
var (
	lineColours = []color.NRGBA{
		{R: 0, G: 114, B: 178, A: 255},
		{R: 213, G: 94, B: 0, A: 255},
		{R: 0, G: 158, B: 115, A: 255},
		{R: 204, G: 121, B: 167, A: 255},
	}
	inkColour   = color.NRGBA{R: 34, G: 34, B: 34, A: 255}
	aimColour   = color.NRGBA{A: 255}
	guideColour = color.NRGBA{R: 120, G: 120, B: 120, A: 255}
	gridColour  = color.NRGBA{R: 228, G: 228, B: 228, A: 255}
)

// Lines differ by dashes as well as by colour, so that a grey copy still tells
// them apart.
var (
	lineDashes = [][]vg.Length{nil, {12 * pixel, 4 * pixel}, {3 * pixel, 3 * pixel}, {12 * pixel, 4 * pixel, 3 * pixel, 4 * pixel}}
	aimDashes  = []vg.Length{8 * pixel, 7 * pixel}
)

// stroke is one series ready to draw.
type stroke struct {
	name string
	band *plotter.Polygon // nil without a band
	line *plotter.Line
	aim  bool
}

// newStrokes returns the strokes of all series in their order. Lines take
// colours and dashes in turn; aims do not count.
func newStrokes(all []Series) ([]stroke, error) {
	var out []stroke
	number := 0
	for _, s := range all {
		style := draw.LineStyle{Color: aimColour, Width: 1.5 * pixel, Dashes: aimDashes}
		if !s.Aim {
			i := number % len(lineColours)
			style = draw.LineStyle{Color: lineColours[i], Width: 3 * pixel, Dashes: lineDashes[i]}
			number++
		}
		line, err := plotter.NewLine(pairs(s.X, s.Y))
		if err != nil {
			return nil, err
		}
		line.LineStyle = style
		band, err := newBand(s, style.Color)
		if err != nil {
			return nil, err
		}
		out = append(out, stroke{s.Name, band, line, s.Aim})
	}
	return out, nil
}

// entry returns what the legend says of the stroke.
func (s stroke) entry() entry {
	if s.band == nil {
		return entry{s.name, []plot.Thumbnailer{s.line}}
	}
	return entry{s.name + ", and its doubt (95 %)", []plot.Thumbnailer{s.band, s.line}}
}

// newBand returns the area between Low and High, nil without them.
func newBand(s Series, line color.Color) (*plotter.Polygon, error) {
	if s.Low == nil {
		return nil, nil
	}
	edge := pairs(s.X, s.High)
	for i := len(s.X) - 1; i >= 0; i-- {
		edge = append(edge, plotter.XY{X: s.X[i], Y: s.Low[i]})
	}
	band, err := plotter.NewPolygon(edge)
	if err != nil {
		return nil, err
	}
	band.Color = paler(line)
	band.LineStyle.Width = 0
	return band, nil
}

// paler returns an opaque tint: a third of the colour on white.
func paler(c color.Color) color.Color {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	tint := func(v uint8) uint8 { return uint8((int(v) + 2*255) / 3) }
	return color.NRGBA{R: tint(n.R), G: tint(n.G), B: tint(n.B), A: 255}
}

func pairs(x, y []float64) plotter.XYs {
	out := make(plotter.XYs, len(x))
	for i := range x {
		out[i] = plotter.XY{X: x[i], Y: y[i]}
	}
	return out
}

// pointShapes tell sets of readings apart without colour.
var pointShapes = []draw.GlyphDrawer{
	draw.RingGlyph{}, draw.TriangleGlyph{}, draw.SquareGlyph{}, draw.PyramidGlyph{},
}

// newMarks returns the marks of one set of readings, the number-th that is not
// spoiled: open and dark grey, or crosses for spoiled ones.
func newMarks(set Points, number int) (*plotter.Scatter, error) {
	marks, err := plotter.NewScatter(pairs(set.X, set.Y))
	if err != nil {
		return nil, err
	}
	marks.GlyphStyle = draw.GlyphStyle{
		Color: inkColour, Radius: 3.5 * pixel, Shape: pointShapes[number%len(pointShapes)],
	}
	if set.Spoiled {
		marks.GlyphStyle = draw.GlyphStyle{Color: lineColours[1], Radius: 5 * pixel, Shape: draw.CrossGlyph{}}
	}
	return marks, nil
}
