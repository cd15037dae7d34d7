package scan

import (
	"fmt"
	"image"
	"image/color"
	"strings"

	"actinic/negative/chart"

	"golang.org/x/image/font"
)

// The picture of a scan has at least this many pixels on its longer side, if need
// be by repeating them.
const leastShown = 900

// drawing is the picture of one scan on its way.
type drawing struct {
	canvas
	*pageRead
	page   *chart.Page
	times  int // pixels of the picture to one of the thumbnail
	width  int
	height int // of the scan's part; the legend is below
	small  font.Face
	plain  font.Face
}

const (
	smallPX  = 12.0
	plainPX  = 15.0
	lineStep = 22.0
)

// panel draws one scan with its legend.
func (p *pageRead) panel(c *chart.Chart) *image.RGBA {
	d := &drawing{pageRead: p, page: &c.Pages[p.at.Page], small: typeface(smallPX), plain: typeface(plainPX)}
	t := p.thumb
	d.times = max(1, (leastShown+max(t.width, t.height)-1)/max(t.width, t.height))
	d.width, d.height = t.width*d.times, t.height*d.times
	legend := d.legend(c)
	d.canvas = newCanvas(max(d.width, 640), d.height+int(lineStep*float64(len(legend)+1)))
	d.drawScan()
	d.drawAreas()
	d.drawMarks()
	for i, l := range legend {
		y := float64(d.height) + lineStep*(float64(i)+1)
		if l.sign != nil {
			l.sign(Point{24, y - 5})
		}
		d.words(d.plain, l.text, 46, y, textInk)
	}
	return d.RGBA
}

func (d *drawing) drawScan() {
	t := d.thumb
	for y := range d.height {
		for x := range d.width {
			from := t.pixels[3*(y/d.times*t.width+x/d.times):]
			to := d.Pix[d.PixOffset(x, y):]
			for c := range 3 {
				to[c] = t.shown(from[c])
			}
		}
	}
}

// place takes a place on the page to the picture.
func (d *drawing) place(xMM, yMM float64) Point { return d.point(d.at.Warp.ToPlane(xMM, yMM)) }

// point takes a point of the plane to the picture.
func (d *drawing) point(p Point) Point {
	p = d.thumbPoint(p)
	return Point{p.X * float64(d.times), p.Y * float64(d.times)}
}

// perMM is how many pixels of the picture a millimetre has.
func (d *drawing) perMM() float64 {
	return (d.at.ScaleX + d.at.ScaleY) / 2 * float64(d.reduced) / float64(d.thumb.reduced) * float64(d.times)
}

// shape outlines an area.
func (d *drawing) shape(a area, width float64, ink color.RGBA) {
	d.quadrangle(a.corners(d.at.Warp), width, ink)
}

// quadrangle outlines an area by its corners in the plane.
func (d *drawing) quadrangle(c [4]Point, width float64, ink color.RGBA) {
	var points []Point
	for _, p := range c {
		points = append(points, d.point(p))
	}
	d.outline(points, width, ink)
}

func (d *drawing) drawAreas() {
	for i, a := range d.areas {
		if d.readings[i].Flag == "" {
			d.shape(a, 1, readInk)
		}
	}
	for i, a := range d.areas {
		if r := d.readings[i]; r.Flag != "" {
			d.shape(a, 2.5, doubtInk)
			at := d.place(a.xMM, a.yMM)
			d.label(d.small, r.ID, at.X-10, at.Y+4, doubtInk)
		}
	}
	for i, a := range d.stepAreas {
		ink := stepInk
		if d.steps[i].Flag != "" {
			ink = doubtInk
		}
		d.shape(a, 1.2, ink)
		if n := len(d.stepAreas); i == 0 || i == n-1 || (i+1)%5 == 0 {
			at := d.point(a.corners(d.at.Warp)[0])
			d.label(d.small, d.steps[i].ID, at.X, at.Y-5, stepInk)
		}
	}
	for _, c := range d.scaleShapes {
		d.quadrangle(c, 1.2, scaleInk)
	}
	if b := d.page.OpaqueBox; b != nil {
		d.shape(area{xMM: b.XMM + b.WidthMM/2, yMM: b.YMM + b.HeightMM/2, halfWMM: boxInner * b.WidthMM / 2, halfHMM: boxInner * b.HeightMM / 2}, 1.5, tapeInk)
	}
}

func (d *drawing) drawMarks() {
	for i, m := range d.at.Marks {
		radius := d.page.Marks[i].DiameterMM / 2 * d.perMM() * 1.15
		at := d.point(m.At)
		if m.Found {
			d.outline(ring(at, radius), 2, foundInk)
			d.cross(at, 3, 1.2, foundInk)
			d.label(d.small, m.ID, at.X+radius+2, at.Y-radius/2, foundInk)
			continue
		}
		d.outline(ring(at, radius), 2, missingInk)
		d.cross(at, radius*0.8, 2.5, missingInk)
		d.label(d.small, m.ID, at.X+radius+2, at.Y-radius/2, missingInk)
	}
}

// legendLine is one line below the picture; sign draws what it explains.
type legendLine struct {
	sign func(Point)
	text string
}

// mostReasons is how many flagged patches the legend explains.
const mostReasons = 8

func (d *drawing) legend(c *chart.Chart) []legendLine {
	lines := []legendLine{{text: fmt.Sprintf("%s: page %d of %d, %s", d.name, d.at.Page+1, len(c.Pages), d.page.Code)}}
	lines = append(lines, d.legendMarks()...)
	flagged := 0
	var reasons []legendLine
	for _, all := range [][]*Reading{d.readings, d.steps} {
		for _, r := range all {
			if r.Flag == "" {
				continue
			}
			if flagged++; flagged <= mostReasons {
				reasons = append(reasons, legendLine{text: "    " + r.ID + ": " + r.Flag})
			}
		}
	}
	lines = append(lines, legendLine{d.boxSign(readInk, 1), fmt.Sprintf("read: %d patches", len(d.readings))})
	if flagged > 0 {
		lines = append(lines, legendLine{d.boxSign(doubtInk, 2.5), fmt.Sprintf("not to be trusted: %d", flagged)})
		lines = append(lines, reasons...)
	}
	if flagged > mostReasons {
		lines = append(lines, legendLine{text: fmt.Sprintf("    and %d more", flagged-mostReasons)})
	}
	if n := len(d.steps); n > 0 {
		lines = append(lines, legendLine{d.boxSign(stepInk, 1.2), fmt.Sprintf("step tablet: steps %s to %s, from the clearest", d.steps[0].ID, d.steps[n-1].ID)})
	}
	if n := len(d.scaleShapes); n > 0 {
		lines = append(lines, legendLine{d.boxSign(scaleInk, 1.2), fmt.Sprintf("grey scale: %d patches", n)})
	}
	return append(lines, d.legendBox()...)
}

func (d *drawing) legendMarks() []legendLine {
	var missing []string
	found := 0
	for _, m := range d.at.Marks {
		if m.Found {
			found++
		} else {
			missing = append(missing, m.ID)
		}
	}
	lines := []legendLine{{func(p Point) { d.outline(ring(p, 7), 2, foundInk) }, fmt.Sprintf("marks found: %d", found)}}
	if len(missing) > 0 {
		lines = append(lines, legendLine{func(p Point) { d.cross(p, 6, 2.5, missingInk) }, "marks not found: " + strings.Join(missing, ", ")})
	}
	return lines
}

func (d *drawing) legendBox() []legendLine {
	switch {
	case d.box == nil:
		return nil
	case !d.box.Taped:
		return []legendLine{{d.boxSign(tapeInk, 1.5), "box for opaque tape: no tape"}}
	}
	return []legendLine{{d.boxSign(tapeInk, 1.5), fmt.Sprintf("paper under the tape L* %.1f; full ink prints %.1f", d.box.Lstar, d.box.FullInkLstar)}}
}

// boxSign draws a small rectangle.
func (d *drawing) boxSign(ink color.RGBA, width float64) func(Point) {
	return func(p Point) {
		d.outline([]Point{{p.X - 8, p.Y - 6}, {p.X + 8, p.Y - 6}, {p.X + 8, p.Y + 6}, {p.X - 8, p.Y + 6}}, width, ink)
	}
}
