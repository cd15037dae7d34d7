package recipe

import (
	"fmt"
	"slices"

	"actinic/process/fault"
)

// Cost is what the prints cost, in the user's own currency, by a price list.
type Cost struct {
	Currency string     `json:"currency"`
	Lines    []CostLine `json:"lines"`
	PerPrint float64    `json:"per_print"`
	InAll    float64    `json:"in_all"`
	// RejectFraction is the share of prints thrown away; PerGoodPrint is PerPrint
	// over what is left.
	RejectFraction float64  `json:"reject_fraction"`
	PerGoodPrint   float64  `json:"per_good_print"`
	NotPriced      []string `json:"not_priced"` // what the plan uses and the list lacks
	NotUsed        []string `json:"not_used"`   // what the list has and the plan does not use
}

// CostLine is one item of the cost.
type CostLine struct {
	Item      string  `json:"item"`
	Quantity  float64 `json:"quantity"` // for one print
	Unit      string  `json:"unit"`     // "ml", "g" or "print"
	UnitPrice float64 `json:"unit_price"`
	PerPrint  float64 `json:"per_print"`
}

// AddCost works out what the plan costs and keeps it in the Coating. A price of
// a stock solution, per millilitre, stands for all that is in it; else its
// contents are counted by the gram; what is priced by the print (paper, film,
// clearing baths) counts once a print. What is used is counted, not what is
// ordered. rejects is the share of prints thrown away, 0 to 0.9.
//
// It fails with a *fault.Error on a price that fits nothing by its unit.
func (c *Coating) AddCost(list PriceList, rejects float64) error {
	if !(rejects >= 0 && rejects <= mostLoss) {
		return fault.New("", "rejects", fmt.Sprintf("%g %% was given, expected 0 to %g %%", 100*rejects, 100*mostLoss), "give the share of prints that are thrown away, as 30%")
	}
	k := costing{c: c, list: list, used: map[int]bool{}}
	cost := &Cost{Currency: list.Currency, RejectFraction: rejects, Lines: []CostLine{}, NotPriced: []string{}, NotUsed: []string{}}
	for _, s := range c.Stocks {
		if err := k.stock(s, cost); err != nil {
			return err
		}
	}
	k.byPrint(cost)
	for _, l := range cost.Lines {
		cost.PerPrint += l.PerPrint
	}
	cost.InAll = cost.PerPrint * float64(c.Prints)
	cost.PerGoodPrint = cost.PerPrint / (1 - rejects)
	for i, p := range list.Prices {
		if !k.used[i] {
			cost.NotUsed = append(cost.NotUsed, p.Item)
		}
	}
	c.Cost = cost
	return nil
}

// costing looks prices up and remembers which were used.
type costing struct {
	c    *Coating
	list PriceList
	used map[int]bool
}

// price returns the price of an item under one of its names.
func (k *costing) price(unit string, names ...string) (Price, bool, error) {
	i := slices.IndexFunc(k.list.Prices, func(p Price) bool {
		return slices.ContainsFunc(names, func(n string) bool { return n != "" && plain(n) == plain(p.Item) })
	})
	if i < 0 {
		return Price{}, false, nil
	}
	p := k.list.Prices[i]
	if p.Unit != unit {
		what := map[string]string{"g": "its weight", "ml": "its volume", "print": "the print"}
		return p, false, fault.New(k.list.File, fmt.Sprintf("line %d", p.Line), fmt.Sprintf("%s is priced by %s, expected a price by %s", quote(p.Item), what[p.Unit], what[unit]), "give the unit as g or kg for what is weighed, ml or l for a solution or a liquid")
	}
	k.used[i] = true
	return p, true, nil
}

// stock adds the cost of one stock solution, or of what is in it.
func (k *costing) stock(s Stock, cost *Cost) error {
	prints := float64(k.c.Prints)
	p, ok, err := k.price("ml", s.Solution)
	if err != nil {
		return err
	}
	if ok {
		cost.add(s.Solution, s.NeededML/prints, "ml", p)
		return nil
	}
	for _, w := range s.Weights {
		quantity, unit := w.UsedGrams/prints, "g"
		if w.ML > 0 {
			quantity, unit = w.UsedML/prints, "ml"
		}
		p, ok, err := k.price(unit, w.Name, w.bought, w.Chemical, k.c.nameOf(w.Chemical))
		if err != nil {
			return err
		}
		if ok {
			cost.add(w.Name, quantity, unit, p)
		} else if !slices.Contains(cost.NotPriced, w.Name) {
			cost.NotPriced = append(cost.NotPriced, w.Name)
		}
	}
	if len(s.Weights) == 0 {
		cost.NotPriced = append(cost.NotPriced, s.Solution)
	}
	return nil
}

// byPrint adds what is priced by the print.
func (k *costing) byPrint(cost *Cost) {
	for i, p := range k.list.Prices {
		if p.Unit == "print" {
			k.used[i] = true
			cost.add(p.Item, 1, "print", p)
		}
	}
}

func (k *Cost) add(item string, quantity float64, unit string, p Price) {
	k.Lines = append(k.Lines, CostLine{item, quantity, unit, p.PerUnit(), quantity * p.PerUnit()})
}

// nameOf returns the name of a chemical of the plan, "" where there is none.
func (c *Coating) nameOf(id string) string {
	for _, h := range c.Hazards {
		if h.Chemical.ID == id {
			return h.Chemical.Name
		}
	}
	return ""
}
