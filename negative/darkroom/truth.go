package darkroom

import (
	"fmt"
	"math"

	"actinic/negative/chart"
	"actinic/process/density"
)

// Truth is what a faultless instrument would see on an area of a print, the
// paper's mottle and all unevenness included, faults left out.
type Truth struct {
	Reflected density.Lightness // L* of the mean reflectance: what an instrument sees
	Mean      density.Lightness // mean of L*
	Spoiled   float64           // share of the area that faults touch
}

// PatchTruth returns what the print shows on a rectangle of it. It fails when
// the rectangle holds no pixel without a fault.
func (p *ContactPrint) PatchTruth(r chart.Rect) (Truth, error) {
	var s sums
	p.each(r, func(i int, _, _ float64) { s.add(p, i) })
	return s.truth(fmt.Sprintf("the rectangle of %.1f x %.1f mm at %.1f, %.1f mm", r.WidthMM, r.HeightMM, r.XMM, r.YMM))
}

// sums are what the truth of an area needs.
type sums struct {
	all, good      int
	lstar, reflect float64
}

func (s *sums) add(p *ContactPrint, i int) {
	s.all++
	if p.touched[i] {
		return
	}
	s.good++
	l := density.Lightness(p.L[i])
	s.lstar += float64(l)
	s.reflect += float64(l.Reflectance())
}

func (s *sums) truth(what string) (Truth, error) {
	if s.good == 0 {
		return Truth{}, fmt.Errorf("darkroom: %s shows nothing but faults, or does not lie on the print", what)
	}
	n := float64(s.good)
	return Truth{
		Reflected: density.Reflectance(s.reflect / n).Lightness(),
		Mean:      density.Lightness(s.lstar / n),
		Spoiled:   1 - n/float64(s.all),
	}, nil
}

// each calls do for every pixel whose middle lies in a rectangle, as far as it
// lies on the paper, with its place.
func (p *ContactPrint) each(r chart.Rect, do func(i int, xMM, yMM float64)) {
	x0, y0 := p.pixel(r.XMM, r.YMM)
	x1, y1 := p.pixel(r.XMM+r.WidthMM, r.YMM+r.HeightMM)
	pixelMM := 25.4 / p.PPI
	for y := max(int(math.Ceil(y0-0.5)), 0); y < min(int(math.Ceil(y1-0.5)), p.Height); y++ {
		for x := max(int(math.Ceil(x0-0.5)), 0); x < min(int(math.Ceil(x1-0.5)), p.Width); x++ {
			do(y*p.Width+x, (float64(x)+0.5)*pixelMM-p.BeyondMM, (float64(y)+0.5)*pixelMM-p.BeyondMM)
		}
	}
}
