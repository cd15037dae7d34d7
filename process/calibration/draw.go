package calibration

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

const toe = sensitometry.ToeAbovePaper

var errNeedsInk = fault.New("", "", "a step tablet alone gives no tone curve: nothing says what the ink stops",
	"give a ramp with --ramp, or the calibration of the same ink with --ink")

// ends bound a curve: the print tones that count as black and white, and the
// film ink that was read.
type ends struct {
	black, white density.Lightness
	low, high    float64 // film ink, %
}

// Where a ramp must begin and end, in per cent of film ink.
const (
	mostLowInk   = 2
	leastHighInk = 98
)

// inkSpan returns the lowest and highest film ink of ramps. A ramp must run from
// clear film to full ink, unless its clear end turned back.
func inkSpan(ramps []*measure.Table, reversed []Reversal) (low, high float64, err error) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, t := range ramps {
		first, last := inkEnds(t)
		low, high = math.Min(low, first), math.Max(high, last)
	}
	trimmed := false
	for _, r := range reversed {
		trimmed = trimmed || !math.IsNaN(r.Ink)
	}
	if high < leastHighInk || (low > mostLowInk && !trimmed) {
		return 0, 0, fault.New(ramps[0].File, "column ink", fmt.Sprintf("the ramp runs from %g to %g %%, expected 0 to 100", low, high),
			"print and read clear film and full ink with the ramp")
	}
	return low, high, nil
}

// draw builds the curve: for each picture tone the aim between the print's own
// black and white, and the film ink that prints it. Where clear film does not
// reach black, or full ink paper white, what they do reach takes the place.
func (c *Calibration) draw(t tones, a Aim, e ends, withDensity bool) error {
	inv := newInverse(t, e.low, e.high)
	black := max(e.black, inv.darkest())
	white := min(e.white, inv.lightest())
	if white-black < leastTones {
		return fault.New("", "", fmt.Sprintf("film ink changes the print from L* %.1f to %.1f only", black, white),
			"the ink stops too little of this light: try another ink colour, or check the exposure")
	}
	c.Aim = AimUsed{Name: a.Name, File: a.File, BlackLstar: float64(black), WhiteLstar: float64(white)}
	for i := range curveNodes {
		tone := 100 * float64(i) / (curveNodes - 1)
		want := a.tone(tone, black, white)
		c.Curve.add(t, tone, want, inv.ink(float64(want)), withDensity)
	}
	if !strictlyMonotone(c.Curve.Ink) {
		return fault.New(a.File, "", "the aim does not rise from black to white everywhere", "give a table whose L* grows with tone")
	}
	return nil
}

func (n *Nodes) add(t tones, tone float64, want density.Lightness, ink float64, withDensity bool) {
	l, sd := t.PrintLightness(ink)
	n.Tone = append(n.Tone, tone)
	n.Ink = append(n.Ink, ink)
	n.AimLstar = append(n.AimLstar, float64(want))
	n.ToneSD = append(n.ToneSD, sd)
	n.PrintSD = append(n.PrintSD, math.Hypot(sd, nextScatter(l, t.meanOf())))
	if withDensity {
		d, _ := t.UVDensity(ink)
		n.UVDensity = append(n.UVDensity, float64(d))
	}
}

// Print-to-print scatter of hand-coated prints, sd of density in the lights and
// near black (working values, common practice: 0.02-0.05 and 0.03-0.06); the
// user's own repeats replace them.
const (
	scatterLight = 0.03
	scatterBlack = 0.045
)

// printScatter is the print-to-print scatter at a print tone, in L*.
func printScatter(l density.Lightness) float64 {
	d := l.Density()
	share := math.Max(0, math.Min(1, float64(d)/1.5))
	return -d.LightnessSlope() * (scatterLight + share*(scatterBlack-scatterLight))
}

// nextScatter is how far a next print lies from the mean of some prints, in L*: it
// scatters itself, and so does their mean.
func nextScatter(l density.Lightness, prints int) float64 {
	return printScatter(l) * math.Sqrt(1+1/float64(prints))
}

// inverse finds the film ink of a print tone by bisection on the fitted print
// tones, which run one way.
type inverse struct {
	t         tones
	low, high float64
	rising    bool
}

func newInverse(t tones, low, high float64) inverse {
	return inverse{t, low, high, t.tone(high) > t.tone(low)}
}

func (v inverse) at(ink float64) density.Lightness { return v.t.tone(ink) }

func (v inverse) darkest() density.Lightness  { return min(v.at(v.low), v.at(v.high)) }
func (v inverse) lightest() density.Lightness { return max(v.at(v.low), v.at(v.high)) }

func (v inverse) ink(l float64) float64 {
	a, b := v.low, v.high
	if !v.rising {
		a, b = b, a
	}
	if l <= float64(v.at(a)) {
		return a
	}
	if l >= float64(v.at(b)) {
		return b
	}
	for range 60 {
		mid := (a + b) / 2
		if float64(v.at(mid)) < l {
			a = mid
		} else {
			b = mid
		}
	}
	return (a + b) / 2
}
