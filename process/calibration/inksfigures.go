package calibration

import (
	"fmt"
	"math"

	"actinic/process/printer"
)

// figure is one number of a file of inks, and what it may be.
type figure struct {
	field     string
	value     *float64 // nil is null, which is no fault
	low, high float64
}

// above0 is the lower bound of what must be more than 0.
const above0 = math.SmallestNonzeroFloat64

// bounds says in words what the number may be.
func (f figure) bounds() string {
	switch {
	case f.low == above0 && math.IsInf(f.high, 1):
		return "more than 0"
	case f.low == above0:
		return fmt.Sprintf("more than 0, up to %g", f.high)
	case math.IsInf(f.high, 1):
		return fmt.Sprintf("%g or more", f.low)
	}
	return fmt.Sprintf("%g to %g", f.low, f.high)
}

// checkFigures refuses numbers that tell about the colours and are out of bounds.
func (k *Inks) checkFigures(bad func(where, what string) error) error {
	for _, list := range [][]figure{k.exposureFigures(), k.modelFigures(), k.rankingFigures(), k.blendFigures()} {
		for _, f := range list {
			if f.value != nil && !(*f.value >= f.low && *f.value <= f.high) {
				return bad("field "+f.field, fmt.Sprintf("found %g, expected %s", *f.value, f.bounds()))
			}
		}
	}
	return nil
}

func (k *Inks) exposureFigures() []figure {
	var out []figure
	for i := range k.Exposure.Prints {
		p, at := &k.Exposure.Prints[i], fmt.Sprintf("exposure.prints, print %d, ", i+1)
		out = append(out, figure{at + "given", p.Given, above0, math.Inf(1)},
			figure{at + "offset.value", &p.Offset.Value, -mostUVDensity, mostUVDensity},
			figure{at + "offset.sd", &p.Offset.SD, 0, mostUVDensity},
			figure{at + "contrast.sd", &p.Contrast.SD, 0, math.Inf(1)},
			figure{at + "noise_lstar", p.NoiseLstar, 0, 100},
			figure{at + "noise_density", p.NoiseDensity, 0, mostUVDensity},
			figure{at + "reads_from_uv_density", p.Low, 0, mostUVDensity},
			figure{at + "reads_to_uv_density", p.High, 0, mostUVDensity})
	}
	return out
}

func (k *Inks) modelFigures() []figure {
	var out []figure
	if m := k.Printer; m != nil {
		out = append(out, figure{"model.irregularity", &m.Irregularity, 0, mostUVDensity},
			figure{"model.held_out_rms", m.HeldOutRMS, 0, mostUVDensity},
			figure{"model.held_out_share_in_band", m.HeldOutBand, 0, 1})
	}
	if r := k.NeededRange; r != nil {
		out = append(out, figure{"needed_range.value", &r.Value.Value, above0, mostUVDensity},
			figure{"needed_range.sd", &r.SD, 0, mostUVDensity})
	}
	return out
}

func (k *Inks) rankingFigures() []figure {
	r := k.Ranking
	if r == nil {
		return nil
	}
	out := []figure{{"ranking.needed_range", &r.NeededRange, above0, mostUVDensity},
		{"ranking.needed_range_sd", &r.NeededSD, 0, mostUVDensity},
		{"ranking.shortfall", &r.Shortfall, 0, math.Inf(1)}}
	for i := range r.Colours {
		c, at := &r.Colours[i], fmt.Sprintf("ranking.colours, colour %d, ", i+1)
		out = append(out, figure{at + "uv_density", c.UVDensity, 0, mostUVDensity},
			figure{at + "sd", c.SD, 0, mostUVDensity},
			figure{at + "at_least", c.AtLeast, 0, mostUVDensity},
			figure{at + "ink_percent", &c.InkPercent, 0, 100},
			figure{at + "ink_load_percent", &c.InkLoad, 0, 100},
			figure{at + "steepest_uv_density_per_code", &c.Steepest, 0, mostUVDensity})
	}
	return out
}

func (k *Inks) blendFigures() []figure {
	if k.Blend == nil {
		return nil
	}
	var out []figure
	for i, g := range []*printer.Gradation{&k.Blend.Straight, &k.Blend.Blend} {
		at := "blend." + []string{"gradation_before", "gradation_after"}[i] + "."
		out = append(out, figure{at + "range_uv_density", &g.Range, 0, mostUVDensity},
			figure{at + "levels_per_tenth_density", &g.LevelsPerTenth, 0, math.Inf(1)},
			figure{at + "largest_step_uv_density", &g.LargestStep, 0, mostUVDensity},
			figure{at + "largest_fall_uv_density", &g.LargestFall, 0, mostUVDensity})
	}
	return out
}
