package recipe

import (
	"fmt"
	"slices"
)

// validate checks the data against itself: every reference is met, every
// figure has a source, every range runs upwards.
func (lib *library) validate() error {
	for _, c := range lib.citations() {
		if len(*c.sources) == 0 {
			return fmt.Errorf("%s: a figure or statement has no source", c.where)
		}
	}
	if err := lib.validateNames(); err != nil {
		return err
	}
	for _, c := range lib.chemicals {
		if err := lib.validateChemical(c); err != nil {
			return fmt.Errorf("chemical %s: %w", c.ID, err)
		}
	}
	for _, c := range lib.cards {
		if err := lib.validateCard(c); err != nil {
			return fmt.Errorf("process %s: %w", c.ID, err)
		}
	}
	if err := lib.validateLinks(); err != nil {
		return err
	}
	if err := lib.validateFaults(); err != nil {
		return err
	}
	return lib.validateRecipes()
}

// validateNames refuses a name that two processes or two chemicals share: an
// exact name must find one.
func (lib *library) validateNames() error {
	processes, chemicals := map[string]string{}, map[string]string{}
	for _, c := range lib.cards {
		for _, name := range append([]string{c.ID, c.Name, c.FullName}, c.Aliases...) {
			if err := claim(processes, name, c.ID); err != nil {
				return err
			}
		}
	}
	for _, c := range lib.chemicals {
		for _, name := range []string{c.ID, c.Name} {
			if err := claim(chemicals, name, c.ID); err != nil {
				return err
			}
		}
	}
	return nil
}

func claim(owners map[string]string, name, id string) error {
	key := plain(name)
	if key == "" {
		return fmt.Errorf("%q: an empty name", id)
	}
	if owner, taken := owners[key]; taken && owner != id {
		return fmt.Errorf("the name %q belongs to %s and to %s", name, owner, id)
	}
	owners[key] = id
	return nil
}

func (lib *library) validateChemical(c Chemical) error {
	if err := lib.validateLabel(c.SignalWord, c.Pictograms, c.Statements); err != nil {
		return err
	}
	for _, v := range c.Variants {
		if err := lib.validateLabel(v.SignalWord, v.Pictograms, v.Statements); err != nil {
			return fmt.Errorf("%s: %w", v.When, err)
		}
	}
	if len(c.Protection) == 0 || c.Disposal == "" || len(c.CAS) == 0 {
		return fmt.Errorf("protection, disposal or CAS number is missing")
	}
	return nil
}

func (lib *library) validateLabel(signal string, pictograms, codes []string) error {
	if !slices.Contains([]string{"", "Warning", "Danger"}, signal) {
		return fmt.Errorf("signal word is %q", signal)
	}
	for _, p := range pictograms {
		if PictogramName(p) == "" {
			return fmt.Errorf("pictogram %q is not known", p)
		}
	}
	for _, code := range codes {
		if _, ok := findStatement(lib.statements, code); !ok {
			return fmt.Errorf("hazard statement %q is not in data/statements.json", code)
		}
	}
	return nil
}

func (lib *library) validateCard(c Card) error {
	if err := c.validateWords(); err != nil {
		return err
	}
	if err := c.validateFigures(); err != nil {
		return err
	}
	for _, use := range c.Chemicals {
		if !lib.hasChemical(use.ID) || use.Role == "" {
			return fmt.Errorf("chemical %q is unknown or has no role", use.ID)
		}
	}
	return nil
}

func (c Card) validateWords() error {
	if c.Polarity != Negative && c.Polarity != Positive {
		return fmt.Errorf("polarity is %q", c.Polarity)
	}
	if c.Light != UVLamp && c.Light != Daylight {
		return fmt.Errorf("light is %q", c.Light)
	}
	words := []string{c.Mode, c.Image, c.MirrorNote, c.ExposureBasis, c.Coats, c.HueLab.Label, c.WorstHazards}
	for _, s := range c.statements() {
		words = append(words, s.Text)
	}
	if slices.Contains(words, "") || len(c.Sensitiser) == 0 || len(c.Steps) == 0 {
		return fmt.Errorf("a text is empty")
	}
	return nil
}

func (c Card) validateFigures() error {
	ok := c.ExposureScale.rises() && c.MaximumDensity.rises() && c.HumidityPercent.rises() &&
		c.ExposureMinutes.rises() && c.UVNM.rises() &&
		c.HueLab.Lightness.rises() && c.HueLab.A.rises() && c.HueLab.B.rises()
	if c.CoatingML8x10 != nil {
		ok = ok && c.CoatingML8x10.rises() && c.CoatingML8x10.Low > 0 && c.CoatingML8x10.High <= mostML8x10
	}
	if c.UVPeakNM != 0 {
		ok = ok && c.UVNM.Low <= c.UVPeakNM && c.UVPeakNM <= c.UVNM.High
	}
	if !ok || c.ExposureMinutes.Low <= 0 || c.ExposureScale.Low <= 0 {
		return fmt.Errorf("a range does not rise from low to high")
	}
	return nil
}

func (r Range[T]) rises() bool { return r.Low <= r.Typical && r.Typical <= r.High && r.Low < r.High }
func (s Span) rises() bool     { return s.Low < s.High }

func (lib *library) hasChemical(id string) bool {
	return slices.ContainsFunc(lib.chemicals, func(c Chemical) bool { return c.ID == id })
}

// validateLinks checks what incompatibilities and contrast rows point at.
func (lib *library) validateLinks() error {
	for _, pair := range lib.incompatible {
		if !slices.Contains([]Level{Stop, Warn, Note}, pair.Level) {
			return fmt.Errorf("%s: level is %q", pair, pair.Level)
		}
		for _, id := range append(slices.Clone(pair.A.IDs), pair.B.IDs...) {
			if !lib.hasChemical(id) {
				return fmt.Errorf("%s: chemical %q is unknown", pair, id)
			}
		}
	}
	for _, row := range lib.contrast {
		if !slices.ContainsFunc(lib.cards, func(c Card) bool { return c.ID == row.Process }) {
			return fmt.Errorf("contrast: process %q is unknown", row.Process)
		}
		for _, id := range row.Chemicals {
			if !lib.hasChemical(id) {
				return fmt.Errorf("contrast: chemical %q is unknown", id)
			}
		}
	}
	return nil
}
