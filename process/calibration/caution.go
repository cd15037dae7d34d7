package calibration

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/density"
	"actinic/process/sensitometry"
)

// FirstBlack returns the shortest exposure that reaches black through clear
// film, when exposure was given to the first print; unknown when the tablet does
// not reach black, and in positive-working processes, which lighten in the light.
func (e *Estimate) FirstBlack(exposure float64) Value {
	b := e.Sensitometry().Black
	if !b.Known() || e.fit.falling {
		return Value{math.NaN(), math.NaN()}
	}
	t := sensitometry.FirstBlack(exposure, density.LogExposure(b.Value))
	return Value{t, t * math.Ln10 * b.SD}
}

// cautions says in sentences what a printmaker should know before using the
// calibration.
func (e *Estimate) cautions(c *Calibration) []string {
	var out []string
	if !e.fit.atRest {
		out = append(out, "The fit had not come to rest: take its doubt as too small, and look for odd readings.")
	}
	for _, f := range e.Flagged {
		out = append(out, f.String())
	}
	for _, r := range e.Reversed {
		out = append(out, r.String())
	}
	out = append(out, e.agreementCautions()...)
	if e.HasTablet() {
		out = append(out, e.rangeCautions(c)...)
	} else {
		out = append(out, "Made without a step tablet: good for this process, paper and exposure; UV density and exposure scale are not known.")
	}
	out = append(out, e.endCautions(c)...)
	out = append(out, c.Quality.Unevenness.cautions()...)
	out = append(out, e.placeCautions()...)
	return append(out, c.outlierCaution()...)
}

// String says which readings turned back.
func (r Reversal) String() string {
	limit := fmt.Sprintf("tablet density %.2f", r.Tablet)
	if math.IsNaN(r.Tablet) {
		limit = fmt.Sprintf("film ink %.1f %%", r.Ink)
	}
	return fmt.Sprintf("%s: the most exposed readings (%s) turn back by %.2g %s and were left out; exposure at %s is the upper limit.",
		r.File, strings.Join(r.IDs, ", "), r.By, r.Unit, limit)
}

// rangeCautions compares the ink range with the needed range, and the exposure
// with the first-black exposure.
func (e *Estimate) rangeCautions(c *Calibration) []string {
	s := e.Sensitometry()
	var out []string
	for _, m := range s.Missing {
		out = append(out, "The step tablet does not show it all: "+m.Error()+".")
	}
	if e.fit.falling {
		return append(out, positiveCautions(s, c.Ink.Range.Value)...)
	}
	if s.Toe.Known() {
		reach := -s.Toe.Value // UV density that brings clear film's exposure down to paper white
		if short := reach - c.Ink.Range.Value; short > 0 {
			out = append(out, fmt.Sprintf("The ink range, %.2f, falls short by %.2f (%.1f stops): paper white needs a UV density of %.2f at this exposure.",
				c.Ink.Range.Value, short, short/density.Stop, reach))
		}
	}
	if x := s.Black; x.Known() && x.Value > 2*x.SD && x.Value > 0.02 {
		out = append(out, fmt.Sprintf("Clear film did not reach black: expose %.2f times as long (+- %.0f %%).",
			math.Pow(10, x.Value), 100*math.Ln10*x.SD))
	} else if x.Known() && x.Value < -0.15 {
		out = append(out, fmt.Sprintf("Black is reached %.1f stops before clear film: %.2f of the exposure would do, and need less ink.",
			-x.Value/density.Stop, math.Pow(10, x.Value)))
	}
	return out
}

// positiveCautions is the same for a positive-working process: full ink has to
// keep black, and clear film has to reach paper white.
func positiveCautions(s Sensitometry, inkRange float64) []string {
	var out []string
	if short := -s.Black.Value - inkRange; s.Black.Known() && short > 0 {
		out = append(out, fmt.Sprintf("The ink range, %.2f, falls short by %.2f (%.1f stops): black needs a UV density of %.2f at this exposure.",
			inkRange, short, short/density.Stop, -s.Black.Value))
	}
	if x := s.Toe; x.Known() && x.Value > 2*x.SD && x.Value > 0.02 {
		out = append(out, fmt.Sprintf("Clear film did not reach paper white: expose %.2f times as long (+- %.0f %%).",
			math.Pow(10, x.Value), 100*math.Ln10*x.SD))
	} else if x.Known() && x.Value < -0.15 {
		out = append(out, fmt.Sprintf("Paper white is reached %.1f stops before clear film: %.2f of the exposure would do, and need less ink.",
			-x.Value/density.Stop, math.Pow(10, x.Value)))
	}
	return out
}

// endCautions says what the print will lack at its ends, where it lacks more
// than half an L* beyond the doubt of the paper's own ends.
func (e *Estimate) endCautions(c *Calibration) []string {
	var out []string
	ends := e.derive(func(ev *evaluator) []float64 {
		curve := e.curveOf(ev)
		return []float64{float64((curve.Paper + toe).Lightness()), float64(curve.Black().Lightness())}
	})
	white, black := ends[0], ends[1]
	lighter := "Try a more opaque ink colour, a contrast control that shortens the exposure scale, or a process with a shorter one"
	darker := "Give more exposure"
	if e.fit.falling {
		lighter, darker = darker, lighter
	}
	if lost := white.Value - c.Aim.WhiteLstar; lost > 0.5+2*white.SD {
		out = append(out, fmt.Sprintf("Highlights stop at L* %.1f, %.1f short of the paper's white: they print as a light grey. %s.",
			c.Aim.WhiteLstar, lost, lighter))
	}
	if lost := c.Aim.BlackLstar - black.Value; lost > 0.5+2*black.SD {
		out = append(out, fmt.Sprintf("Shadows stop at L* %.1f, %.1f short of the paper's black. %s.",
			c.Aim.BlackLstar, lost, darker))
	}
	return out
}

func (c *Calibration) outlierCaution() []string {
	if len(c.Quality.Outliers) == 0 {
		return nil
	}
	var names []string
	for _, o := range c.Quality.Outliers {
		names = append(names, fmt.Sprintf("%s of %s (%+.1f L*)", o.ID, o.File, o.Off))
	}
	return []string{"Readings that do not fit were given little weight: " + strings.Join(names, "; ") + "."}
}
