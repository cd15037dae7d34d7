package report

import (
	"bytes"
	"fmt"
	"image/color"
	"io"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// The size of a plot. At 96 pixels an inch the text is as large as that of the
// page around it.
const (
	WidthPixels  = 900
	HeightPixels = 560

	pixelsPerInch = 96
	pixel         = vg.Inch / pixelsPerInch
	margin        = 16 * pixel
)

// Plot draws figure to w in format "png" or "svg". The same figure gives the
// same bytes. It fails when the figure holds numbers that are not finite or
// columns of different lengths, when the format is another, and when w fails.
func Plot(w io.Writer, format string, figure Figure) error {
	if err := figure.check(); err != nil {
		return err
	}
	canvas, err := newCanvas(format)
	if err != nil {
		return err
	}
	p, entries, err := layOut(figure)
	if err != nil {
		return fmt.Errorf("report: figure %q: %w", figure.Title, err)
	}
	page := draw.New(canvas)
	page.SetColor(color.White)
	page.Fill(page.Rectangle.Path())
	below := heading(draw.Crop(page, margin, -margin, margin, -margin), figure.Title, entries)
	p.Draw(draw.Crop(below, 0, -margin/2, 0, -guideNameRoom))
	return write(w, format, canvas)
}

// write sends the finished canvas to w. An SVG names a font that not every
// reader has; others of the same widths, then any sans-serif, stand in.
func write(w io.Writer, format string, canvas io.WriterTo) error {
	if format != "svg" {
		_, err := canvas.WriteTo(w)
		return err
	}
	var buffer bytes.Buffer
	if _, err := canvas.WriteTo(&buffer); err != nil {
		return err
	}
	svg := bytes.ReplaceAll(buffer.Bytes(), []byte("font-family:Liberation Sans"), []byte("font-family:Liberation Sans,Arial,Helvetica,sans-serif"))
	_, err := w.Write(svg)
	return err
}

func newCanvas(format string) (vg.CanvasWriterTo, error) {
	const width, height = WidthPixels * pixel, HeightPixels * pixel
	switch format {
	case "png":
		c := vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(pixelsPerInch))
		return vgimg.PngCanvas{Canvas: c}, nil
	case "svg":
		return vgsvg.New(width, height), nil
	default:
		return nil, fmt.Errorf("report: plot format %q; png or svg expected", format)
	}
}

// layOut returns the plot with everything in its order, from the back: grid,
// bands, guides, lines, aims, points. The second result is its legend.
func layOut(figure Figure) (*plot.Plot, []entry, error) {
	p := plot.New()
	p.BackgroundColor = nil // the page is white already
	dressAxis(&p.X, figure.X.Label)
	dressAxis(&p.Y, figure.Y.Label)
	strokes, err := newStrokes(figure.Series)
	if err != nil {
		return nil, nil, err
	}
	addGround(p, strokes, figure)
	legend := addLines(p, strokes)
	if len(figure.Bars) > 0 {
		rows := barRows(figure.Bars)
		p.Add(rows, newGuideLines(figure.Guides, nil))
		legend = append(legend, rows.legend()...)
	}
	number := 0
	for _, set := range figure.Points {
		if len(set.X) == 0 {
			continue
		}
		marks, err := newMarks(set, number)
		if err != nil {
			return nil, nil, err
		}
		if !set.Spoiled {
			number++
		}
		p.Add(marks)
		legend = append(legend, entry{set.Name, []plot.Thumbnailer{marks}})
	}
	scale(&p.X, figure.X)
	if len(figure.Bars) > 0 {
		barRows(figure.Bars).dress(&p.Y)
	} else {
		scale(&p.Y, figure.Y)
	}
	return p, legend, nil
}

// addGround draws what lies under the lines; over bars guides would not show, and
// are drawn later.
func addGround(p *plot.Plot, strokes []stroke, figure Figure) {
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = gridColour, gridColour
	grid.Vertical.Width, grid.Horizontal.Width = pixel, pixel
	p.Add(grid)
	for _, s := range strokes {
		if s.band != nil {
			p.Add(s.band)
		}
	}
	if len(figure.Guides) > 0 && len(figure.Bars) == 0 {
		p.Add(newGuideLines(figure.Guides, strokes))
	}
}

// addLines draws the lines, aims last because a good print hides its aim, and
// returns their legend in the order given.
func addLines(p *plot.Plot, strokes []stroke) []entry {
	var legend []entry
	for _, aims := range []bool{false, true} {
		for _, s := range strokes {
			if s.aim == aims {
				p.Add(s.line)
			}
		}
	}
	for _, s := range strokes {
		legend = append(legend, s.entry())
	}
	return legend
}

func dressAxis(a *plot.Axis, label string) {
	a.Label.Text = label
	a.Label.TextStyle = styled(a.Label.TextStyle, 16)
	a.Tick.Label = styled(a.Tick.Label, 14)
	a.LineStyle.Color, a.LineStyle.Width = inkColour, pixel
	a.Tick.LineStyle.Color, a.Tick.LineStyle.Width = inkColour, pixel
	a.Tick.Length = 6 * pixel
	a.Padding = 0
	a.Label.Padding = 7 * pixel
}

func styled(style text.Style, sizePixels float64) text.Style {
	style.Font = sans(sizePixels)
	style.Color = inkColour
	return style
}

func sans(sizePixels float64) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(sizePixels) * pixel}
}
