package recipe

import (
	"fmt"
	"slices"
	"strings"

	"actinic/process/fault"
)

// Bounds of a plan.
const (
	leastSideMM, mostSideMM     = 5, 5080 // as of films and pictures
	mostPrints, mostCoats       = 10000, 20
	mostLoss                    = 0.9
	leastDropsPerML, mostDropML = 5, 100 // a pipette's large drops, a fine needle's
)

func (p CoatPlan) coats() int { return max(p.Coats, 1) }

// check refuses figures that no plan can have.
func (p CoatPlan) check() error {
	side := func(mm float64) bool { return mm >= leastSideMM && mm <= mostSideMM }
	switch {
	case strings.TrimSpace(p.Process) == "":
		return fault.New("", "process", "none was named", "'actinic process list' shows all processes")
	case !side(p.WidthMM) || !side(p.HeightMM):
		return fault.New("", "size", fmt.Sprintf("%g x %g mm was given, expected sides of %d to %d mm", p.WidthMM, p.HeightMM, leastSideMM, mostSideMM), "write it as 8x10in or 203x254mm")
	case p.Prints < 1 || p.Prints > mostPrints:
		return fault.New("", "prints", fmt.Sprintf("%d was given, expected 1 to %d", p.Prints, mostPrints), "give how many sheets are coated")
	case p.Coats < 0 || p.Coats > mostCoats:
		return fault.New("", "coats", fmt.Sprintf("%d was given, expected 1 to %d", p.Coats, mostCoats), "give how often each sheet is coated")
	case !(p.LossFraction >= 0 && p.LossFraction <= mostLoss):
		return fault.New("", "loss", fmt.Sprintf("%g %% was given, expected 0 to %g %%", 100*p.LossFraction, 100*mostLoss), "give the share of what is mixed that stays in the brush, as 15%")
	case p.DropsPerML != 0 && !(p.DropsPerML >= leastDropsPerML && p.DropsPerML <= mostDropML):
		return fault.New("", "drops for a millilitre", fmt.Sprintf("%g was given, expected %d to %d", p.DropsPerML, leastDropsPerML, mostDropML), "count the drops in 2.0 ml and halve them")
	case !(p.MLPerM2 >= 0 && p.MLPerM2 <= mostMLPerM2):
		return fault.New("", "coverage", fmt.Sprintf("%g ml/m2 was given, expected above 0, at most %d", p.MLPerM2, mostMLPerM2), "4 ml for 8 x 10 in are 77.5 ml/m2; rod and brush are known by name")
	}
	return nil
}

// coatJob looks up the process and the recipe of a plan.
func (lib *library) coatJob(p CoatPlan) (*coatJob, error) {
	j := &coatJob{lib: lib, plan: p}
	var err error
	if own, ok := lib.ownProcess(p.Process); ok {
		j.process = own
	} else {
		card, wrong := lib.find(p.Process)
		if wrong != nil {
			return nil, wrong
		}
		j.card, j.process = &card, card.ID
	}
	if j.recipe, err = lib.recipeOf(j.process, p.Recipe); err != nil {
		return nil, err
	}
	return j, nil
}

// ownProcess returns the process without a card that a recipe has under a name.
func (lib *library) ownProcess(name string) (string, bool) {
	i := slices.IndexFunc(lib.recipes, func(r Recipe) bool {
		return plain(r.Process) == plain(name) && !lib.hasCard(r.Process)
	})
	if i < 0 {
		return "", false
	}
	return lib.recipes[i].Process, true
}

func (lib *library) hasCard(process string) bool {
	return slices.ContainsFunc(lib.cards, func(c Card) bool { return plain(c.ID) == plain(process) })
}

// recipesFor returns the recipes of a process, the usual one first.
func (lib *library) recipesFor(process string) []Recipe {
	var list []Recipe
	for _, r := range lib.recipes {
		if plain(r.Process) == plain(process) {
			list = append(list, r)
		}
	}
	return list
}

// RecipesFor returns the recipes of the process with an ID, the usual one first.
func (b *Book) RecipesFor(process string) []Recipe { return b.lib.recipesFor(process) }

// recipeOf returns the recipe of a process with an ID, or the usual one for "".
func (lib *library) recipeOf(process, id string) (Recipe, error) {
	list := lib.recipesFor(process)
	if len(list) == 0 {
		return Recipe{}, lib.noRecipe(process)
	}
	if id == "" {
		return list[0], nil
	}
	names := make([][]string, len(list))
	ids := make([]string, len(list))
	for i, r := range list {
		names[i], ids[i] = []string{r.ID, r.Name}, r.ID
	}
	i, err := lookup("recipe", id, names, process+" has "+strings.Join(ids, ", "))
	if err != nil {
		return Recipe{}, err
	}
	return list[i], nil
}

// noRecipe says why a process has no recipe.
func (lib *library) noRecipe(process string) error {
	for _, w := range lib.coat.WithoutRecipe {
		if w.Process == process {
			return fault.New("", "process "+quote(process), w.What, w.Hint)
		}
	}
	return fault.New("", "process "+quote(process), "no recipe for it is on file", "give one with --recipes FILE")
}

// choose settles the contrast setting and the parts.
func (j *coatJob) choose() error {
	j.parts = map[string]float64{}
	j.choices = j.settings()
	if err := j.chooseContrast(); err != nil {
		return err
	}
	names := make([]string, 0, len(j.plan.Parts))
	for name := range j.plan.Parts {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if err := j.setParts(name, j.plan.Parts[name]); err != nil {
			return err
		}
	}
	for _, l := range j.recipe.Layers {
		total := 0.0
		for _, s := range l.Solutions {
			total += j.partsOf(s)
		}
		if total == 0 {
			return fault.New("", "parts", "all solutions of the layer "+quote(l.Name)+" have 0 parts", "give one of them parts above 0")
		}
	}
	return nil
}

// setParts takes the plan's parts of one solution.
func (j *coatJob) setParts(name string, parts float64) error {
	var names [][]string
	var all []string
	for _, l := range j.recipe.Layers {
		for _, s := range l.Solutions {
			names, all = append(names, []string{s.Name}), append(all, s.Name)
		}
	}
	i, err := lookup("solution", name, names, "the recipe has "+strings.Join(all, "; "))
	if err != nil {
		return err
	}
	if !(parts >= 0 && parts <= mostParts) {
		return fault.New("", "parts of "+quote(name), fmt.Sprintf("%g was given, expected 0 to %d", parts, mostParts), "parts are by volume, drops for example")
	}
	j.parts[all[i]] = parts
	return nil
}
