package recipe

import (
	"fmt"
	"slices"
)

// Meeting is a pair that must not come together, and where the plan holds it.
type Meeting struct {
	Incompatibility
	// Where names the solutions of the plan that hold each side; empty for a side
	// that comes from the later steps or from anywhere in a workroom.
	WhereA []string `json:"where_a"`
	WhereB []string `json:"where_b"`
}

// Hazard is one chemical of the plan with its hazard statements in words.
type Hazard struct {
	Chemical   Chemical          `json:"chemical"`
	Statements []HazardStatement `json:"statements"`
}

// mind fills in everything to be careful of.
func (j *coatJob) mind(c *Coating) {
	measured := j.measured(c)
	all := slices.Clone(measured)
	if j.card != nil {
		all = append(all, j.card.ChemicalIDs(false)...)
	}
	c.chemicals = all
	c.Incompatible = []Meeting{}
	for _, pair := range matching(j.lib.incompatible, all) {
		c.Incompatible = append(c.Incompatible, Meeting{pair, c.holding(pair.A), c.holding(pair.B)})
	}
	c.Hazards = j.lib.hazards(measured)
	c.NotOnFile = notOnFile(append(slices.Clone(c.Stocks), c.Baths...))
	c.Disposal = append([]Statement{}, j.lib.disposal...)
	c.Cautions = j.cautions()
}

// measured returns the chemicals that the plan weighs out or, for contrast,
// asks for, each once.
func (j *coatJob) measured(c *Coating) []string {
	used := func(name string) bool {
		return slices.ContainsFunc(c.Lines, func(l CoatLine) bool { return l.Solution == name })
	}
	ids := j.recipe.chemicals(used)
	if j.choice != nil {
		ids = append(ids, j.choice.Chemicals...)
	}
	once := []string{}
	for _, id := range ids {
		if !slices.Contains(once, id) {
			once = append(once, id)
		}
	}
	return once
}

// holding returns the solutions of the plan that hold one side of a pair.
func (c *Coating) holding(p Party) []string {
	names := []string{}
	for _, s := range append(slices.Clone(c.Stocks), c.Baths...) {
		if slices.ContainsFunc(s.Weights, func(w StockWeight) bool { return slices.Contains(p.IDs, w.Chemical) }) {
			names = append(names, s.Solution)
		}
	}
	return names
}

func (lib *library) hazards(ids []string) []Hazard {
	list := []Hazard{}
	for _, id := range ids {
		chemical, _ := lib.chemical(id)
		h := Hazard{Chemical: chemical, Statements: []HazardStatement{}}
		for _, code := range chemical.Statements {
			s, _ := findStatement(lib.statements, code)
			h.Statements = append(h.Statements, s)
		}
		list = append(list, h)
	}
	return list
}

// chemical returns the chemical with exactly this ID.
func (lib *library) chemical(id string) (Chemical, bool) {
	i := slices.IndexFunc(lib.chemicals, func(c Chemical) bool { return c.ID == id })
	if i < 0 {
		return Chemical{}, false
	}
	return lib.chemicals[i], true
}

// notOnFile returns the ingredients whose hazards nobody looked up.
func notOnFile(stocks []Stock) []string {
	names := []string{}
	for _, s := range stocks {
		for _, w := range s.Weights {
			if w.Chemical == "" && !slices.Contains(names, w.Name) {
				names = append(names, w.Name)
			}
		}
	}
	return names
}

func (j *coatJob) cautions() []string {
	short := GeneralCaution()
	if j.card != nil {
		short = j.card.ShortCaution()
	}
	return []string{short, standingCaution}
}

// where says in words which bottles hold the two sides, "" where no bottle of
// the plan holds one of them.
func (m Meeting) where() string {
	if len(m.WhereA) == 0 || len(m.WhereB) == 0 {
		return ""
	}
	text := fmt.Sprintf("Here: %s; and %s.", either(quoted(m.WhereA)), either(quoted(m.WhereB)))
	for _, a := range m.WhereA {
		if len(m.WhereA) == 1 && len(m.WhereB) == 1 && m.WhereB[0] == a {
			return fmt.Sprintf("The recipe has both in one bottle, %q.", a)
		}
		if slices.Contains(m.WhereB, a) {
			return fmt.Sprintf("The recipe has both in one bottle, %q. ", a) + text
		}
	}
	return text
}

func quoted(names []string) []string {
	list := make([]string, len(names))
	for i, n := range names {
		list[i] = fmt.Sprintf("%q", n)
	}
	return list
}
