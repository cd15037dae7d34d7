package scan

import "math"

// A print is strongly coloured from this chroma on; a channel that shows less
// than this share of the luminance's range hardly sees it. Working values of
// ours.
const (
	strongChroma = 20.0
	leastShare   = 0.7
)

// remarkChannel warns where one channel reads a print wrongly.
func (p *pageRead) remarkChannel(c Channel, say func(string, ...any)) {
	all, one := newExtent(), newExtent()
	chroma := 0.0
	for _, r := range p.readings {
		red, green, blue, ok := p.colourAt(r.XMM, r.YMM)
		if !ok {
			continue
		}
		all.take(lightness(float64(0.2126*red) + float64(0.7152*green) + float64(0.0722*blue)))
		one.take(lightness([3]float64{red, green, blue}[c-Red]))
		chroma = max(chroma, chromaOf(red, green, blue))
	}
	switch {
	case one.width() < leastShare*all.width():
		say("the %s channel shows %.0f L* between the print's white and black, all channels together %.0f: it reads this print wrongly; leave out --channel", c, one.width(), all.width())
	case chroma > strongChroma:
		say("the print is strongly coloured (chroma %.0f): the %s channel alone gives another tone than the eye sees; leave out --channel unless you know why", chroma, c)
	}
}

// colourAt returns linear red, green, blue of the thumbnail at a place of the
// page.
func (p *pageRead) colourAt(xMM, yMM float64) (r, g, b float64, ok bool) {
	at := p.thumbPoint(p.at.Warp.ToPlane(xMM, yMM))
	x, y := int(math.Floor(at.X)), int(math.Floor(at.Y))
	if x < 0 || y < 0 || x >= p.thumb.width || y >= p.thumb.height {
		return 0, 0, 0, false
	}
	r, g, b = p.thumb.light(x, y)
	return r, g, b, true
}

// thumbPoint takes a point of the plane to the thumbnail.
func (p *pageRead) thumbPoint(at Point) Point {
	k := float64(p.reduced) / float64(p.thumb.reduced)
	return Point{at.X * k, at.Y * k}
}

// chromaOf is CIE 1976 C*ab of linear sRGB (IEC 61966-2-1:1999; CIE 15:2018).
func chromaOf(r, g, b float64) float64 {
	f := func(t float64) float64 { return (lightness(t) + 16) / 116 }
	x := (float64(0.4124*r) + float64(0.3576*g) + float64(0.1805*b)) / 0.9505
	y := float64(0.2126*r) + float64(0.7152*g) + float64(0.0722*b)
	z := (float64(0.0193*r) + float64(0.1192*g) + float64(0.9505*b)) / 1.0890
	return math.Hypot(500*(f(x)-f(y)), 200*(f(y)-f(z)))
}

// extent is the range of values taken.
type extent struct{ low, high float64 }

func newExtent() *extent { return &extent{math.Inf(1), math.Inf(-1)} }

func (e *extent) take(v float64) { e.low, e.high = min(e.low, v), max(e.high, v) }
func (e *extent) width() float64 { return max(e.high-e.low, 0) }
