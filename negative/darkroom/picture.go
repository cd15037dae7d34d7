package darkroom

import (
	"fmt"
	"math"
	"sync"

	"actinic/process/density"
)

// Picture is a print as seen, pixel by pixel in L*, rows from the top.
type Picture struct {
	Width, Height int
	L             []float32 // Width x Height values, 0 to 100
}

// Read returns the mean L* of a rectangle of the print and the standard
// deviation of its pixels. The rectangle's top-left corner is pixel x, y. It
// fails when the rectangle is empty or does not lie on the print.
func (p *Picture) Read(x, y, width, height int) (mean density.Lightness, spread float64, err error) {
	if width < 1 || height < 1 || x < 0 || y < 0 || x+width > p.Width || y+height > p.Height {
		return 0, 0, fmt.Errorf("darkroom: patch %dx%d at %d,%d does not lie on a print of %dx%d pixels",
			width, height, x, y, p.Width, p.Height)
	}
	n := float64(width * height)
	sum := 0.0
	p.each(x, y, width, height, func(l float64) { sum += l })
	m := sum / n
	squares := 0.0
	p.each(x, y, width, height, func(l float64) { squares += (l - m) * (l - m) })
	return density.Lightness(m), math.Sqrt(squares / n), nil
}

func (p *Picture) each(x, y, width, height int, do func(l float64)) {
	for j := y; j < y+height; j++ {
		for _, l := range p.L[j*p.Width+x : j*p.Width+x+width] {
			do(float64(l))
		}
	}
}

// GreyRow fills row, Width long, with row y as a scanner saves it: 16-bit
// sRGB-encoded grey.
func (p *Picture) GreyRow(y int, row []uint16) {
	codes := lightnessCodes()
	for x, l := range p.L[y*p.Width : (y+1)*p.Width] {
		at := float64(l) * codesPerUnit
		i := min(int(at), len(codes)-2)
		row[x] = uint16(codes[i] + (at-float64(i))*(codes[i+1]-codes[i]) + 0.5)
	}
}

const codesPerUnit = 200

// lightnessCodes is the 16-bit code, not rounded, at even steps of L*.
var lightnessCodes = sync.OnceValue(func() []float64 {
	codes := make([]float64, 100*codesPerUnit+1)
	for i := range codes {
		codes[i] = encode(float64(i) / codesPerUnit)
	}
	return codes
})

// encode returns the sRGB code, 0 to 65535, of a neutral with lightness l
// (IEC 61966-2-1:1999, the encoding function).
func encode(l float64) float64 {
	y := float64(density.Lightness(l).Reflectance())
	v := 12.92 * y
	if y > 0.0031308 {
		v = 1.055*math.Pow(y, 1/2.4) - 0.055
	}
	return 65535 * min(max(v, 0), 1)
}
