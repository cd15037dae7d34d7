package darkroom

import (
	"fmt"
	"math"

	"actinic/negative/chart"
	"actinic/process/density"
)

// LaidTablet is a step tablet laid by hand over a window of clear film. Its
// steps run along the window's longer side.
type LaidTablet struct {
	Window          chart.Rect // as seen on the print
	Steps           []density.Density
	StepMM, WidthMM float64 // of one step along the strip, and of the steps across it
	// EndMM and SideMM are the strip's own clear film beyond the first and the
	// last step and along both sides, of density Base.
	EndMM, SideMM float64
	Base          density.Density
	// OffsetXMM and OffsetYMM are from the window's middle to the strip's, and
	// TurnDegrees is how far it lies turned, clockwise.
	OffsetXMM, OffsetYMM, TurnDegrees float64
	Reversed                          bool // the first step lies right, or lowest
}

// TypicalTablet returns a strip of 21 steps of 0.15 from 0.05, made to fit the
// window and laid a little off and askew, either way round.
func TypicalTablet(window chart.Rect, seed uint64) *LaidTablet {
	rng := Random(seed, 2201)
	long, short := max(window.WidthMM, window.HeightMM), min(window.WidthMM, window.HeightMM)
	t := &LaidTablet{Window: window, Base: 0.04, EndMM: 2, SideMM: 1, Reversed: rng.IntN(2) == 1}
	for i := range 21 {
		t.Steps = append(t.Steps, density.Density(0.05+0.15*float64(i)))
	}
	t.StepMM, t.WidthMM = min(0.86*long/21, 5), min(0.5*short, 13)
	t.OffsetXMM, t.OffsetYMM = between(rng, -1.5, 1.5), between(rng, -1.5, 1.5)
	t.TurnDegrees = between(rng, -1.5, 1.5)
	return t
}

// along returns how far a place on the print lies along the strip and across
// it, from the strip's middle; the first step has the smallest along.
func (t *LaidTablet) along(xMM, yMM float64) (alongMM, acrossMM float64) {
	dx := xMM - (t.Window.XMM + t.Window.WidthMM/2 + t.OffsetXMM)
	dy := yMM - (t.Window.YMM + t.Window.HeightMM/2 + t.OffsetYMM)
	sin, cos := math.Sincos(t.TurnDegrees * math.Pi / 180)
	u, v := cos*dx+sin*dy, cos*dy-sin*dx
	if t.Window.HeightMM > t.Window.WidthMM {
		u, v = v, -u
	}
	if t.Reversed {
		u, v = -u, -v
	}
	return u, v
}

// density returns the strip's density at a place, and false beside the strip.
func (t *LaidTablet) density(xMM, yMM float64) (density.Density, bool) {
	u, v := t.along(xMM, yMM)
	n := len(t.Steps)
	start := -t.StepMM * float64(n) / 2
	if math.Abs(u) > -start+t.EndMM || math.Abs(v) > t.WidthMM/2+t.SideMM {
		return 0, false
	}
	step := int(math.Floor((u - start) / t.StepMM))
	if step < 0 || step >= n || math.Abs(v) > t.WidthMM/2 {
		return t.Base, true
	}
	return t.Steps[step], true
}

// lay dims the light under the strip.
func (t *LaidTablet) lay(p *ContactPrint) {
	reach := (t.StepMM*float64(len(t.Steps)) + t.WidthMM) / 2
	reach += t.EndMM + t.SideMM
	x := t.Window.XMM + t.Window.WidthMM/2 + t.OffsetXMM
	y := t.Window.YMM + t.Window.HeightMM/2 + t.OffsetYMM
	p.each(chart.Rect{XMM: x - reach, YMM: y - reach, WidthMM: 2 * reach, HeightMM: 2 * reach}, func(i int, x, y float64) {
		if d, on := t.density(x, y); on {
			p.L[i] *= float32(d.Reflectance())
		}
	})
}

// tapeDensity is that of opaque tape: nothing prints through it.
const tapeDensity = density.Density(5)

func layTape(p *ContactPrint, at chart.Rect) {
	p.each(at, func(i int, _, _ float64) { p.L[i] *= float32(tapeDensity.Reflectance()) })
}

// StepTruth returns what the print shows under a step of the tablet laid on it,
// 0 for the first, over the middle share of the step each way. It fails when
// there is no such step on the print.
func (p *ContactPrint) StepTruth(step int, share float64) (Truth, error) {
	t := p.tablet
	if t == nil || step < 0 || step >= len(t.Steps) {
		return Truth{}, fmt.Errorf("darkroom: no step %d of a tablet on this print", step)
	}
	middle := (float64(step) + 0.5 - float64(len(t.Steps))/2) * t.StepMM
	reach := t.StepMM*float64(len(t.Steps)) + t.WidthMM
	around := chart.Rect{XMM: t.Window.XMM + t.Window.WidthMM/2 - reach, YMM: t.Window.YMM + t.Window.HeightMM/2 - reach,
		WidthMM: 2 * reach, HeightMM: 2 * reach}
	var s sums
	p.each(around, func(i int, x, y float64) {
		u, v := t.along(x, y)
		if math.Abs(u-middle) <= share*t.StepMM/2 && math.Abs(v) <= share*t.WidthMM/2 {
			s.add(p, i)
		}
	})
	return s.truth("the step")
}
