package recipe

import (
	"fmt"
	"slices"

	"actinic/process/fault"
)

// Bench is one or more coatings made at the same bench: what must not meet
// there, and what to order for all of them.
type Bench struct {
	Coatings     []*Coating `json:"coatings"`
	Incompatible []Meeting  `json:"incompatible"` // over all coatings
	Orders       []Order    `json:"orders"`       // for all coatings
	Hazards      []Hazard   `json:"hazards"`      // of all coatings
	NotOnFile    []string   `json:"not_on_file"`
	Cautions     []string   `json:"cautions"`
}

// mostPlans is how many processes one bench holds.
const mostPlans = 20

// CoatAll works out one or more plans for one bench. Pairs that must not meet
// are looked for across all of them. Errors are those of Coat.
func CoatAll(plans ...CoatPlan) (*Bench, error) {
	if len(plans) == 0 || len(plans) > mostPlans {
		return nil, fault.New("", "process", fmt.Sprintf("%d were named, expected 1 to %d", len(plans), mostPlans), "name each process once")
	}
	b := &Bench{Incompatible: []Meeting{}, Orders: []Order{}, Hazards: []Hazard{}, NotOnFile: []string{}, Cautions: []string{}}
	var all []string
	var stocks []Stock
	for _, p := range plans {
		c, err := Coat(p)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(b.Coatings, func(o *Coating) bool { return o.Process == c.Process && o.Recipe.ID == c.Recipe.ID }) {
			return nil, fault.New("", "process "+quote(c.Process), "was named twice", "name each process once")
		}
		b.Coatings = append(b.Coatings, c)
		all = append(all, c.chemicals...)
		stocks = append(append(stocks, c.Stocks...), c.Baths...)
	}
	b.Orders = orders(stocks)
	book := plans[0].Book
	if book == nil {
		book = BuiltIn()
	}
	for _, pair := range matching(book.lib.incompatible, all) {
		b.Incompatible = append(b.Incompatible, Meeting{pair, b.holding(pair.A), b.holding(pair.B)})
	}
	b.join()
	return b, nil
}

// holding returns the bottles on the bench that hold one side of a pair, with
// their process where there are several.
func (b *Bench) holding(p Party) []string {
	names := []string{}
	for _, c := range b.Coatings {
		for _, n := range c.holding(p) {
			if len(b.Coatings) > 1 {
				n = c.ProcessName + ": " + n
			}
			names = append(names, n)
		}
	}
	return names
}

// join gathers what the coatings have in common, each once.
func (b *Bench) join() {
	for _, c := range b.Coatings {
		for _, h := range c.Hazards {
			if !slices.ContainsFunc(b.Hazards, func(o Hazard) bool { return o.Chemical.ID == h.Chemical.ID }) {
				b.Hazards = append(b.Hazards, h)
			}
		}
		b.NotOnFile = withMissing(b.NotOnFile, c.NotOnFile)
		b.Cautions = withMissing(b.Cautions, c.Cautions)
	}
	// the standing caution closes the list
	if i := slices.Index(b.Cautions, standingCaution); i >= 0 {
		b.Cautions = append(slices.Delete(b.Cautions, i, i+1), standingCaution)
	}
}

// withMissing returns list with what of more it lacks.
func withMissing(list, more []string) []string {
	for _, s := range more {
		if !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}
