package calibration

import (
	"fmt"

	"actinic/process/fault"
	"actinic/process/printer"
)

// Bounds of what a file of inks may hold: no print tells a UV density of 20, and
// no chart holds more colours (working values of ours).
const (
	mostUVDensity  = 20
	mostInkColours = 100_000
	mostBlendNodes = 1000
)

// check refuses inks whose numbers do not hang together.
func (k *Inks) check(name string) error {
	bad := func(where, what string) error { return fault.New(name, where, what, inksForm.AsWritten()) }
	if n := len(k.Colours); n == 0 || n > mostInkColours {
		return bad("field colours", fmt.Sprintf("found %d colours, expected 1 to %d", n, mostInkColours))
	}
	seen := map[printer.RGB]int{}
	for i, c := range k.Colours {
		where := fmt.Sprintf("field colours, colour %d", i+1)
		if what := c.wrong(); what != "" {
			return bad(where, what)
		}
		if first, ok := seen[c.RGB()]; ok {
			return bad(where, fmt.Sprintf("the same red, green and blue as colour %d", first))
		}
		seen[c.RGB()] = i + 1
	}
	if err := k.Characteristic.check(bad); err != nil {
		return err
	}
	if err := k.Quality.Unevenness.check(bad); err != nil {
		return err
	}
	if err := k.checkChosen(bad); err != nil {
		return err
	}
	return k.checkFigures(bad)
}

// checkChosen refuses an ink colour, ranking or blend that is none.
func (k *Inks) checkChosen(bad func(where, what string) error) error {
	if k.InkColour != nil && !k.InkColour.valid() {
		return bad("field ink_colour", "expected code values of 0 to 255")
	}
	if k.Ranking != nil {
		for i, c := range k.Ranking.Colours {
			if !colourCode(c.RGB()).valid() {
				return bad(fmt.Sprintf("field ranking.colours, colour %d", i+1), "expected code values of 0 to 255")
			}
		}
	}
	if k.Blend == nil {
		return nil
	}
	if k.InkColour == nil {
		return bad("field blend", "a blend without an ink colour")
	}
	if what := wrongPath(k.Blend.Nodes); what != "" {
		return bad("field blend.nodes", what)
	}
	return nil
}

// wrongPath says what is wrong with a way from clear film, "" for nothing.
func wrongPath(p printer.Path) string {
	n := len(p)
	if n < 2 || n > mostBlendNodes {
		return fmt.Sprintf("found %d nodes, expected 2 to %d", n, mostBlendNodes)
	}
	for i, node := range p {
		if !colourCode(node.RGB()).valid() {
			return fmt.Sprintf("node %d: expected code values of 0 to 255", i+1)
		}
		if i > 0 && !(node.Percent > p[i-1].Percent) {
			return fmt.Sprintf("node %d: expected percents that rise", i+1)
		}
	}
	if p[0].Percent != 0 || p[n-1].Percent != 100 {
		return "expected percents from 0 to 100"
	}
	if p[0].RGB() != printer.Clear {
		return "expected a way from clear film (255, 255, 255)"
	}
	return ""
}

func (c ColourCode) valid() bool { return within([]float64{c.Red, c.Green, c.Blue}, 0, 255) }

// wrong says what is wrong with a colour, "" for nothing.
func (c InkColour) wrong() string {
	if !c.valid() {
		return "expected code values of 0 to 255"
	}
	for _, f := range []struct {
		name string
		v    *float64
	}{{"uv_density", c.UVDensity}, {"sd", c.SD}, {"patch_sd", c.PatchSD}, {"at_least", c.AtLeast}, {"at_most", c.AtMost},
		{"predicted", c.Predicted}, {"predicted_sd", c.PredictedSD}} {
		if f.v != nil && !(*f.v >= 0 && *f.v <= mostUVDensity) {
			return fmt.Sprintf("%s is %g, expected 0 to %d", f.name, *f.v, mostUVDensity)
		}
	}
	known := c.UVDensity != nil
	switch {
	case known != (c.SD != nil) || known != (c.PatchSD != nil):
		return "expected uv_density, sd and patch_sd together"
	case known && !(*c.PatchSD > 0):
		return "patch_sd is 0, expected more"
	case !known && c.AtLeast == nil && c.AtMost == nil:
		return "neither uv_density nor at_least nor at_most"
	case orNaN(c.AtLeast) > orNaN(c.AtMost):
		return "at_least is above at_most"
	}
	return ""
}
