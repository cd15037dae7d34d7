package darkroom

import (
	"math"

	"actinic/process/density"
)

// Hue is the colour of a process, from paper white to black.
type Hue int

// The hues of prints.
const (
	Neutral Hue = iota // no colour at all
	Blue               // iron blue
	Brown              // silver or iron, warm
	Black              // a nearly neutral black on warm paper
)

// Hues lists every hue.
var Hues = []Hue{Neutral, Blue, Brown, Black}

// String returns the hue's name in small letters.
func (h Hue) String() string { return [...]string{"neutral", "blue", "brown", "black"}[h] }

// colour is a place in CIELAB.
type colour struct{ l, a, b float64 }

// path is where a print of the hue runs through CIELAB, from dark to light:
// working values of ours, about what such prints look like.
func (h Hue) path() []colour {
	switch h {
	case Blue:
		return []colour{{0, 4, -20}, {20, 6, -36}, {45, -6, -38}, {70, -9, -24}, {92, 0, 4}, {100, 0, 4}}
	case Brown:
		return []colour{{0, 6, 4}, {20, 12, 12}, {45, 14, 24}, {70, 8, 20}, {92, 1, 7}, {100, 1, 7}}
	case Black:
		return []colour{{0, 0, 0}, {30, 0.5, 1}, {92, 0.5, 5}, {100, 0.5, 5}}
	default:
		return []colour{{0, 0, 0}, {100, 0, 0}}
	}
}

// chroma returns a* and b* of the hue at a lightness.
func (h Hue) chroma(l float64) (a, b float64) {
	path := h.path()
	for i := 1; i < len(path); i++ {
		if lo, hi := path[i-1], path[i]; l <= hi.l {
			share := (l - lo.l) / (hi.l - lo.l)
			return lo.a + share*(hi.a-lo.a), lo.b + share*(hi.b-lo.b)
		}
	}
	last := path[len(path)-1]
	return last.a, last.b
}

// hueSteps is how finely a hue is tabled over the square root of luminance.
const hueSteps = 1024

// The luminance of sRGB's primaries for D50, from the same source.
const redY, greenY, blueY = 0.2225045, 0.7168786, 0.0606169

// linearRGB is linear-light sRGB.
type linearRGB [3]float32

// table returns linear-light sRGB at luminances (i/hueSteps)². Its luminance
// is exact: where sRGB cannot hold the chroma, the chroma gives way.
func (h Hue) table() []linearRGB {
	table := make([]linearRGB, hueSteps+1)
	for i := range table {
		y := float64(i) / hueSteps * (float64(i) / hueSteps)
		a, b := h.chroma(float64(density.Reflectance(y).Lightness()))
		for twentieths := 20; twentieths >= 0; twentieths-- {
			share := float64(twentieths) / 20
			rgb, fits := neutralPlus(y, share*a, share*b)
			table[i] = rgb
			if fits {
				break
			}
		}
	}
	return table
}

// neutralPlus returns linear sRGB of luminance y and a* and b*, and whether it
// holds it. L*a*b* is that of instruments and of ICC profiles, for D50; the
// matrix, with sRGB's white adapted to it by Bradford's transform, is Lindbloom's
// (brucelindbloom.com, RGB/XYZ matrices, from memory).
func neutralPlus(y, a, b float64) (linearRGB, bool) {
	const whiteX, whiteZ = 0.96422, 0.82521
	f := (float64(density.Reflectance(y).Lightness()) + 16) / 116
	x, z := whiteX*cubed(f+a/500), whiteZ*cubed(f-b/200)
	r := 3.1338561*x - 1.6168667*y - 0.4906146*z
	g := -0.9787684*x + 1.9161415*y + 0.0334540*z
	bl := 0.0719453*x - 0.2289914*y + 1.4052427*z
	// What the printed digits leave goes to all three alike.
	short := y - (redY*r + greenY*g + blueY*bl)
	fits := min(r, g, bl)+short >= -1e-6 && max(r, g, bl)+short <= 1+1e-6
	clamp := func(v float64) float32 { return float32(min(max(v+short, 0), 1)) }
	return linearRGB{clamp(r), clamp(g), clamp(bl)}, fits
}

// cubed undoes the function of CIELAB (CIE 15:2018).
func cubed(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return math.Max(3*(6.0/29)*(6.0/29)*(f-4.0/29), 0)
}
