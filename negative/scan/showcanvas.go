package scan

import (
	"image"
	"image/color"
	"math"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// canvas is a picture to draw lines and words on.
type canvas struct{ *image.RGBA }

func newCanvas(width, height int) canvas {
	c := canvas{image.NewRGBA(image.Rect(0, 0, width, height))}
	for i := range c.Pix {
		c.Pix[i] = 255
	}
	return c
}

// blend covers a pixel with a share of a colour.
func (c canvas) blend(x, y int, ink color.RGBA, share float64) {
	if !(image.Point{x, y}).In(c.Rect) || share <= 0 {
		return
	}
	p := c.Pix[c.PixOffset(x, y):]
	for i, v := range [3]uint8{ink.R, ink.G, ink.B} {
		p[i] = uint8(float64(p[i]) + (float64(v)-float64(p[i]))*min(share, 1) + 0.5)
	}
}

// line draws a soft-edged line between two points.
func (c canvas) line(a, b Point, width float64, ink color.RGBA) {
	r := width/2 + 1
	if !finite(a) || !finite(b) {
		return
	}
	x0, x1 := c.clampX(min(a.X, b.X)-r), c.clampX(max(a.X, b.X)+r)
	y0, y1 := c.clampY(min(a.Y, b.Y)-r), c.clampY(max(a.Y, b.Y)+r)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			d := fromSegment(Point{float64(x) + 0.5, float64(y) + 0.5}, a, b)
			c.blend(x, y, ink, width/2+0.5-d)
		}
	}
}

func finite(p Point) bool { return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X+p.Y, 0) }

func (c canvas) clampX(v float64) int { return within(v, c.Rect.Dx()) }
func (c canvas) clampY(v float64) int { return within(v, c.Rect.Dy()) }

// fromSegment is the distance of p from the segment a to b.
func fromSegment(p, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if n := dx*dx + dy*dy; n > 0 {
		t = min(max(((p.X-a.X)*dx+(p.Y-a.Y)*dy)/n, 0), 1)
	}
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

// outline draws a closed line, on a dark edge so that it shows on any tone.
func (c canvas) outline(points []Point, width float64, ink color.RGBA) {
	for _, pass := range []struct {
		width float64
		ink   color.RGBA
	}{{width + 1.6, halo}, {width, ink}} {
		for i, p := range points {
			c.line(p, points[(i+1)%len(points)], pass.width, pass.ink)
		}
	}
}

// cross draws two strokes across a place.
func (c canvas) cross(at Point, reach, width float64, ink color.RGBA) {
	for _, w := range [2]int{1, -1} {
		a, b := Point{at.X - reach, at.Y - float64(w)*reach}, Point{at.X + reach, at.Y + float64(w)*reach}
		c.line(a, b, width+1.6, halo)
		c.line(a, b, width, ink)
	}
}

// ring returns the points of a circle.
func ring(at Point, radius float64) []Point {
	var out []Point
	const n = 40
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out = append(out, Point{at.X + radius*cos, at.Y + radius*sin})
	}
	return out
}

// letters is the typeface of the legend, read once for each size.
var letters = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(liberationsansregular.TTF)
	if err != nil {
		panic("scan: the built-in typeface does not parse: " + err.Error())
	}
	return f
})

// typeface returns the letters at a size in pixels.
func typeface(px float64) font.Face {
	f, err := opentype.NewFace(letters(), &opentype.FaceOptions{Size: px, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic("scan: the built-in typeface has no size " + err.Error())
	}
	return f
}

// words writes text with its baseline at y.
func (c canvas) words(f font.Face, text string, x, y float64, ink color.RGBA) {
	d := font.Drawer{Dst: c.RGBA, Src: image.NewUniform(ink), Face: f,
		Dot: fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)}}
	d.DrawString(text)
}

// label writes words on a dark plate, so that they can be read on any tone.
func (c canvas) label(f font.Face, text string, x, y float64, ink color.RGBA) {
	w := float64(font.MeasureString(f, text)) / 64
	ascent := float64(f.Metrics().Ascent) / 64
	for py := c.clampY(y - ascent); py < c.clampY(y+4); py++ {
		for px := c.clampX(x - 2); px < c.clampX(x+w+3); px++ {
			c.blend(px, py, halo, 0.8)
		}
	}
	c.words(f, text, x, y, ink)
}

// The colours are our own: light enough for the dark edge around them.
var (
	halo       = color.RGBA{20, 20, 24, 255}
	textInk    = color.RGBA{30, 30, 34, 255}
	foundInk   = color.RGBA{120, 225, 110, 255}
	missingInk = color.RGBA{255, 90, 80, 255}
	readInk    = color.RGBA{235, 235, 235, 255}
	doubtInk   = color.RGBA{255, 170, 40, 255}
	stepInk    = color.RGBA{255, 235, 90, 255}
	tapeInk    = color.RGBA{120, 200, 255, 255}
	scaleInk   = color.RGBA{225, 140, 255, 255}
)
