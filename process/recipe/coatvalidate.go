package recipe

import (
	"fmt"
	"strings"
)

// Bounds of what a recipe may hold: wide enough for any of this trade, narrow
// enough that a slip of the pen (grams per litre for grams per 100 ml) shows.
const (
	mostGramsPer100ML = 200   // ammonium iron(III) oxalate at 60 is the strongest on file
	mostParts         = 10000 // parts may be drops
	mostML8x10        = 500   // poured carbon tissue takes 90
	mostMLPerM2       = 10000
)

// mostInList is how many layers, solutions, contents, baths or settings a recipe
// holds in one list: far more than any, and few enough that no file takes long.
const mostInList = 40

// misfit is what is wrong with a recipe: the field, what was found and what was
// expected.
type misfit struct{ Field, What, Want string }

func (m *misfit) at() string {
	if m.Field == "" {
		return ""
	}
	return ", " + m.Field
}

// in puts the misfit into a place further out. A nil misfit stays nil.
func (m *misfit) in(place string) *misfit {
	if m == nil {
		return nil
	}
	return &misfit{place + m.at(), m.What, m.Want}
}

// check returns what is wrong with the recipe by itself, or nil.
func (r *Recipe) check() *misfit {
	switch {
	case plain(r.ID) == "":
		return &misfit{"id", "is empty", "a short name, as my_kallitype"}
	case plain(r.Process) == "":
		return &misfit{"process", "is empty", "the id of a process, as kallitype"}
	case strings.TrimSpace(r.Name) == "":
		return &misfit{"name", "is empty", "what the recipe is, in a few words"}
	case len(r.Layers) == 0:
		return &misfit{"layers", "holds none", "at least one layer with its solutions"}
	}
	for name, n := range map[string]int{"layers": len(r.Layers), "baths": len(r.Baths), "settings": len(r.Settings)} {
		if n > mostInList {
			return tooMany(name, n)
		}
	}
	if c := r.CoatingML8x10; c != nil && !(c.Value > 0 && c.Value <= mostML8x10) {
		return &misfit{"coating_ml_8x10in", fmt.Sprintf("is %g", c.Value), fmt.Sprintf("above 0, at most %d ml", mostML8x10)}
	}
	names := map[string]bool{}
	for i := range r.Layers {
		if m := r.Layers[i].check(names); m != nil {
			return m.in(fmt.Sprintf("layer %d", i+1))
		}
	}
	for i := range r.Baths {
		if m := r.Baths[i].check(names); m != nil {
			return m.in(fmt.Sprintf("bath %d", i+1))
		}
	}
	return r.checkSettings()
}

func tooMany(list string, n int) *misfit {
	return &misfit{list, fmt.Sprintf("holds %d", n), fmt.Sprintf("at most %d", mostInList)}
}

func (l *Layer) check(names map[string]bool) *misfit {
	switch {
	case strings.TrimSpace(l.Name) == "":
		return &misfit{"name", "is empty", "what the layer is, as salting"}
	case l.Method != Spread && l.Method != Floated && l.Method != Poured:
		return &misfit{"method", "is " + quote(string(l.Method)), `"floated", "poured", or none for brush and rod`}
	case len(l.Solutions) == 0:
		return &misfit{"solutions", "holds none", "at least one solution"}
	case len(l.Solutions) > mostInList:
		return tooMany("solutions", len(l.Solutions))
	}
	if c := l.CoatingMLPerM2; c != nil && !(c.Value > 0 && c.Value <= mostMLPerM2) {
		return &misfit{"coating_ml_per_m2", fmt.Sprintf("is %g", c.Value), fmt.Sprintf("above 0, at most %d", mostMLPerM2)}
	}
	total := 0.0
	for i := range l.Solutions {
		if m := l.Solutions[i].check(names); m != nil {
			return m.in(fmt.Sprintf("solution %d", i+1))
		}
		total += l.Solutions[i].Parts
	}
	if !(total > 0) {
		return &misfit{"solutions", "have no parts", "parts above 0 for at least one"}
	}
	return nil
}

func (s *Solution) check(names map[string]bool) *misfit {
	switch {
	case plain(s.Name) == "":
		return &misfit{"name", "is empty", "what stands on the bottle"}
	case names[plain(s.Name)]:
		return &misfit{"name", quote(s.Name) + " stands twice", "a name of its own for each solution"}
	case !(s.Parts >= 0 && s.Parts <= mostParts):
		return &misfit{"parts", fmt.Sprintf("is %g", s.Parts), fmt.Sprintf("0 to %d", mostParts)}
	}
	if len(s.Contents) > mostInList {
		return tooMany("contents", len(s.Contents))
	}
	names[plain(s.Name)] = true
	liquids := 0.0
	for i := range s.Contents {
		if m := s.Contents[i].check(); m != nil {
			return m.in(fmt.Sprintf("content %d", i+1))
		}
		liquids += s.Contents[i].MLPer100ML
	}
	if liquids > 100 {
		return &misfit{"contents", fmt.Sprintf("have %g ml of liquids in 100 ml", liquids), "100 at most"}
	}
	return nil
}

func (c *Ingredient) check() *misfit {
	if plain(c.Chemical) == "" && strings.TrimSpace(c.Name) == "" {
		return &misfit{"chemical", "is missing", "the id of a chemical, or a name"}
	}
	if m := c.checkStrength(); m != nil {
		return m
	}
	if c.Usual != nil && !(0 < c.Usual.Low && c.Usual.rises()) {
		return &misfit{"usual", fmt.Sprintf("runs from %g to %g", c.Usual.Low, c.Usual.High), "a rise, from above 0"}
	}
	return c.checkForms()
}

// checkStrength wants exactly one strength, within what can be.
func (c *Ingredient) checkStrength() *misfit {
	given := 0
	for _, x := range []float64{c.GramsPer100ML, c.MLPer100ML, c.GrainsPerOz} {
		if x != 0 {
			given++
		}
	}
	wv := c.percentWV()
	switch {
	case given != 1:
		return &misfit{"", fmt.Sprintf("%d of grams_per_100ml, ml_per_100ml and grains_per_oz are given", given), "one: per cent w/v, a liquid's share, or an old recipe's grains"}
	case (c.GrainsPerOz != 0) != (c.Ounce != "") || c.Ounce != "" && ounceML[c.Ounce] == 0:
		return &misfit{"ounce", "is " + quote(string(c.Ounce)), `"imperial" or "us" with grains_per_oz, and none without`}
	case c.GrainsPerOz < 0 || c.GramsPer100ML < 0 || wv > mostGramsPer100ML:
		return &misfit{"grams_per_100ml", fmt.Sprintf("is %.4g", wv), fmt.Sprintf("above 0, at most %d", mostGramsPer100ML)}
	case c.MLPer100ML < 0 || c.MLPer100ML > 100:
		return &misfit{"ml_per_100ml", fmt.Sprintf("is %g", c.MLPer100ML), "above 0, at most 100"}
	case c.FromPercent != 0 && !(c.FromPercent > 0 && c.FromPercent >= wv && wv > 0):
		return &misfit{"from_percent", fmt.Sprintf("is %g", c.FromPercent), "at least the per cent w/v that is wanted"}
	case c.FromPercent > 0 && len(c.OtherForms) > 0:
		return &misfit{"other_forms", "are given for what is bought as a solution", "one or the other"}
	}
	return nil
}

func (c *Ingredient) checkForms() *misfit {
	if len(c.OtherForms) > 0 && c.Formula == "" {
		return &misfit{"formula", "is missing", "that of the form in which the grams are given, since there are other_forms"}
	}
	if c.Formula != "" {
		if _, err := MolarMass(c.Formula); err != nil {
			return &misfit{"formula", err.Error(), "one as Na2S2O3.5H2O"}
		}
	}
	for _, f := range c.OtherForms {
		if _, err := MolarMass(f.Formula); err != nil || strings.TrimSpace(f.Form) == "" {
			return &misfit{"other_forms", fmt.Sprintf("%s %s", quote(f.Form), quote(f.Formula)), "a form, as anhydrous, and its formula"}
		}
	}
	return nil
}

func (r *Recipe) checkSettings() *misfit {
	for i, s := range r.Settings {
		at := fmt.Sprintf("setting %d", i+1)
		if plain(s.Name) == "" || len(s.Parts) == 0 {
			return &misfit{at, "has no name or no parts", "a name, and parts by the name of the solution"}
		}
		total := 0.0
		for name, parts := range s.Parts {
			if _, ok := r.solution(name); !ok || !(parts >= 0 && parts <= mostParts) {
				return &misfit{at + ", parts", fmt.Sprintf("%s: %g", quote(name), parts), fmt.Sprintf("the name of a solution, and 0 to %d", mostParts)}
			}
			total += parts
		}
		if total == 0 {
			return &misfit{at + ", parts", "are all 0", "parts above 0 for at least one"}
		}
	}
	return nil
}

// validateRecipes checks the recipes and what they point at.
func (lib *library) validateRecipes() error {
	owner := map[string]string{}
	for i := range lib.recipes {
		r := &lib.recipes[i]
		if m := r.check(); m != nil {
			return fmt.Errorf("recipe %s%s: %s; expected %s", quote(r.ID), m.at(), m.What, m.Want)
		}
		if err := claim(owner, r.ID, r.ID); err != nil {
			return err
		}
		for _, id := range r.chemicals(func(string) bool { return true }) {
			if !lib.hasChemical(id) {
				return fmt.Errorf("recipe %s: chemical %s is not on file; expected the id, name or CAS number of one on a process card, one of the file's own chemicals, or a name instead", quote(r.ID), quote(id))
			}
		}
		if r.CoatingML8x10 == nil && !lib.coats(r.Process) && !r.saysCoating() {
			return fmt.Errorf("recipe %s: process %s has no card that says how much coats it; expected the id of a card, or coating_ml_8x10in in the recipe", quote(r.ID), quote(r.Process))
		}
	}
	return nil
}

// saysCoating reports whether every layer says how much it takes.
func (r *Recipe) saysCoating() bool {
	for _, l := range r.Layers {
		if l.CoatingMLPerM2 == nil {
			return false
		}
	}
	return true
}

// coats reports whether a card with this ID says how much coats the process.
func (lib *library) coats(process string) bool {
	for _, c := range lib.cards {
		if plain(c.ID) == plain(process) {
			return c.CoatingML8x10 != nil
		}
	}
	return false
}
