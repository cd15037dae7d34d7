package calibration

import (
	"fmt"
	"math"

	"actinic/process/density"
)

// What is too much to leave to the fit (working values of ours): a third of a
// stop of light, a coating that shows in the shadows; and from where on ink
// levels lie too much in order to be told from unevenness.
const (
	muchLight   = 0.10
	muchCoating = 8.0 // %
	inOrder     = 0.5
)

// Lines says in plain lines what was found; nothing of nil.
func (u *Unevenness) Lines() []string {
	if u == nil {
		return nil
	}
	if u.Lamp != nil {
		return []string{lightWords(u.Lamp.Extent, u.Lamp.area()) + alike(len(u.Prints)) +
			u.coatingWords() + "."}
	}
	var out []string
	for _, p := range u.Prints {
		line := p.words()
		if len(u.Prints) > 1 {
			line = fmt.Sprintf("Print %d: %s", p.Print, line)
		}
		out = append(out, line)
	}
	return out
}

func alike(prints int) string {
	if prints == 2 {
		return ", alike in both prints; "
	}
	return fmt.Sprintf(", alike in all %d prints; ", prints)
}

// words is one print's line.
func (p *PrintUnevenness) words() string {
	light := fmt.Sprintf("Light shows no fall-off (doubt %.2f)", math.Max(0.01, p.LogExposure.Range.SD))
	if p.lightShows() {
		light = lightWords(p.LogExposure, p.Area)
	}
	coating := fmt.Sprintf("coating shows no unevenness (doubt %.0f %% of black)", math.Max(1, p.NetDensity.Range.SD))
	if p.coatingShows() {
		coating = fmt.Sprintf("coating varies by %.0f +- %.0f %% of black", p.NetDensity.Range.Value, math.Max(1, p.NetDensity.Range.SD))
	}
	return light + "; " + coating + "."
}

// lightWords says where least light falls, and how much less than on the best lit
// place.
func lightWords(x Extent, a Area) string {
	return fmt.Sprintf("Light falls off by %.2f +- %.2f (%.2f stops) towards the %s",
		x.Range.Value, math.Max(0.01, x.Range.SD), x.Range.Value/density.Stop, a.name(x.Least))
}

// coatingWords sums up the coatings of several prints.
func (u *Unevenness) coatingWords() string {
	low, high := math.Inf(1), 0.0
	for _, p := range u.Prints {
		if p.coatingShows() {
			low, high = math.Min(low, p.NetDensity.Range.Value), math.Max(high, p.NetDensity.Range.Value)
		} else {
			low = 0
		}
	}
	switch {
	case high == 0:
		return "coatings show no unevenness"
	case math.Round(low) == math.Round(high):
		return fmt.Sprintf("coating varies by %.0f %% of black", high)
	}
	return fmt.Sprintf("coating varies by %.0f to %.0f %% of black", low, high)
}

// cautions says what is too uneven, and where unevenness can't be told from
// tone.
func (u *Unevenness) cautions() []string {
	if u == nil {
		return nil
	}
	var out []string
	light, coating, order := 0.0, 0.0, 0.0
	for _, p := range u.Prints {
		if p.lightShows() {
			light = math.Max(light, p.LogExposure.Range.Value)
		}
		if p.coatingShows() {
			coating = math.Max(coating, p.NetDensity.Range.Value)
		}
		order = math.Max(order, p.Order)
	}
	if light > muchLight {
		out = append(out, fmt.Sprintf("The light differs by %.2f (%.1f stops) over the sheet. The curve is that of an even sheet, but your prints will show it: raise the lamp, or lay the frame under its middle.",
			light, light/density.Stop))
	}
	if coating > muchCoating {
		out = append(out, fmt.Sprintf("Black differs by %.0f %% over the sheet. The curve is that of an even sheet, but your prints will show it: coat more evenly, and in both directions.", coating))
	}
	if order > inOrder {
		out = append(out, "The ink levels lie in order on the sheet, not scattered: uneven light or coating can't be told from tone, and the doubt is larger for it. Print a chart with scattered levels.")
	}
	return out
}

// placeCautions names ramps of which only a part says where it lies: unevenness
// stays in the rest.
func (e *Estimate) placeCautions() []string {
	var out []string
	for _, p := range e.prints {
		if p.Ramp == nil {
			continue
		}
		n, all := 0, len(p.Ramp.Readings)
		for _, r := range p.Ramp.Readings {
			if placed(r) {
				n++
			}
		}
		if n > 0 && n < all {
			out = append(out, fmt.Sprintf("%s: %d of %d patches do not say where they lie (x_mm, y_mm): uneven light and coating stay in these.", p.Ramp.Name, all-n, all))
		}
	}
	return out
}
