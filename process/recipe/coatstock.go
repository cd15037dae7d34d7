package recipe

import (
	"fmt"
	"math"
	"slices"
)

// Stock is how one stock solution is made up.
type Stock struct {
	Solution string `json:"solution"`
	// NeededML is what the plan takes, MakeML that rounded up to a volume that is
	// easily measured. Of a bath, made for a tray, NeededML is 0 and MakeML
	// what its weights are stated for.
	NeededML float64 `json:"needed_ml"`
	MakeML   float64 `json:"make_ml"`
	// OnWater: MakeML is water, and the solution is a little more.
	OnWater bool          `json:"on_water"`
	Weights []StockWeight `json:"weights"`
	Making  string        `json:"making"`
	Sources []Source      `json:"sources"`
}

// StockWeight is one substance to weigh or measure for a stock.
type StockWeight struct {
	Name        string      `json:"name"`         // as bought, with its form
	Chemical    string      `json:"chemical"`     // ID, "" where not on file
	PercentWV   float64     `json:"percent_wv"`   // in the stock; 0 for a liquid
	FromPercent float64     `json:"from_percent"` // of the solution it is bought as; 0 for a solid
	Grams       float64     `json:"grams"`        // for MakeML; 0 for what is measured
	ML          float64     `json:"ml"`           // of a liquid; 0 for a solid
	UsedGrams   float64     `json:"used_grams"`   // for NeededML
	UsedML      float64     `json:"used_ml"`
	Usual       *Span       `json:"usual_per_100ml"`
	OtherForms  []FormGrams `json:"other_forms"`
	Note        string      `json:"note"`
	Sources     []Source    `json:"sources"`

	bought string // the name without form and strength, for prices
}

// FormGrams is what to weigh of another form of the same substance.
type FormGrams struct {
	Form   string  `json:"form"`
	Factor float64 `json:"factor"` // grams of it for one gram of the form on the recipe
	Grams  float64 `json:"grams"`
}

// Order is one substance to have in the cupboard.
type Order struct {
	Name     string  `json:"name"`
	Chemical string  `json:"chemical"`
	Grams    float64 `json:"grams"` // to make the stocks up; 0 for a liquid
	ML       float64 `json:"ml"`
	// BuyGrams or BuyML is that rounded up to a usual size of pack.
	BuyGrams float64 `json:"buy_grams"`
	BuyML    float64 `json:"buy_ml"`
}

// HydrateFactor returns how many grams of one form of a substance stand for one
// gram of another: the ratio of their molar masses.
func HydrateFactor(of, in string) (float64, error) {
	from, err := MolarMass(of)
	if err != nil {
		return 0, err
	}
	to, err := MolarMass(in)
	if err != nil {
		return 0, err
	}
	return to / from, nil
}

// What a bath is stated for, as no plan says how much fills a tray, and what is
// made up of a solution that is dosed into a bath.
const bathML, dosedML = 1000, 100

// stocks works out how the solutions of the lines, and the baths, are made up.
func (j *coatJob) stocks(lines []CoatLine) (stocks, baths []Stock) {
	baths = []Stock{}
	for _, l := range lines {
		s, _ := j.recipe.solution(l.Solution)
		st := j.lib.stockOf(*s, l.MLInAll, makeUpML(l.MLInAll))
		stocks = append(stocks, st)
	}
	for _, s := range j.recipe.Baths {
		baths = append(baths, j.lib.stockOf(s, 0, bathML))
	}
	if j.choice != nil {
		if s, ok := j.choice.bath(); ok {
			baths = append(baths, j.lib.stockOf(s, 0, dosedML))
		}
	}
	return stocks, baths
}

func (lib *library) stockOf(s Solution, needed, made float64) Stock {
	st := Stock{Solution: s.Name, NeededML: needed, MakeML: made, OnWater: s.OnWater,
		Weights: []StockWeight{}, Making: s.Making, Sources: s.Sources}
	for _, c := range s.Contents {
		st.Weights = append(st.Weights, c.weight(lib.boughtName(c), needed, made))
	}
	return st
}

// weight returns what to weigh for a volume of stock: per cent w/v is grams in
// 100 ml of the finished solution. What is bought as a solution is measured:
// V1 = C2 V2 / C1.
func (c Ingredient) weight(name string, neededML, madeML float64) StockWeight {
	wv, ml := c.percentWV(), c.MLPer100ML
	w := StockWeight{Name: c.soldName(name), bought: name, Chemical: c.Chemical, PercentWV: wv, FromPercent: c.FromPercent,
		Usual: c.Usual, OtherForms: []FormGrams{}, Note: c.Note, Sources: c.Sources}
	if c.FromPercent > 0 {
		ml, wv = 100*wv/c.FromPercent, 0
	}
	w.Grams, w.UsedGrams = wv*madeML/100, wv*neededML/100
	w.ML, w.UsedML = ml*madeML/100, ml*neededML/100
	for _, f := range c.OtherForms {
		factor, err := HydrateFactor(c.Formula, f.Formula)
		if err != nil {
			panic("recipe: " + err.Error()) // loading checks every formula
		}
		w.OtherForms = append(w.OtherForms, FormGrams{f.Form, factor, w.Grams * factor})
	}
	return w
}

// boughtName is the ingredient's own name, else its chemical's.
func (lib *library) boughtName(c Ingredient) string {
	if chemical, ok := lib.chemical(c.Chemical); ok && c.Name == "" {
		return chemical.Name
	}
	return c.Name
}

// soldName is the ingredient as it is bought: "Palladium chloride, dihydrate".
func (c Ingredient) soldName(name string) string {
	if c.Form != "" {
		name += ", " + c.Form
	}
	if c.FromPercent > 0 {
		name += ", " + number(c.FromPercent) + " % solution"
	}
	return name
}

// Volumes that are easily measured, and usual sizes of packs: working values of
// ours. Above the last of them volumes go up by 500 ml, packs by 1000.
var (
	easyML = []float64{5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 250, 300, 400, 500, 750, 1000}
	packs  = []float64{1, 2, 5, 10, 25, 50, 100, 250, 500, 1000}
)

// makeUpML returns the volume to make up where needed is used.
func makeUpML(needed float64) float64 { return roundedUp(needed, easyML, 500) }

// roundedUp returns the least of sizes that holds x, and beyond them the least
// multiple of step. A millionth over is no more than the arithmetic's own error.
func roundedUp(x float64, sizes []float64, step float64) float64 {
	for _, s := range sizes {
		if x <= s*(1+1e-9) {
			return s
		}
	}
	return math.Ceil(x/step*(1-1e-9)) * step
}

// orders adds up what the stocks take, in the order of their first use.
func orders(stocks []Stock) []Order {
	list := []Order{}
	for _, s := range stocks {
		for _, w := range s.Weights {
			i := slices.IndexFunc(list, func(o Order) bool { return o.Name == w.Name && o.Chemical == w.Chemical })
			if i < 0 {
				i = len(list)
				list = append(list, Order{Name: w.Name, Chemical: w.Chemical})
			}
			list[i].Grams += w.Grams
			list[i].ML += w.ML
		}
	}
	for i := range list {
		list[i].round()
	}
	return list
}

func (o *Order) round() {
	if o.Grams > 0 {
		o.BuyGrams = roundedUp(o.Grams, packs, 1000)
	}
	if o.ML > 0 {
		o.BuyML = roundedUp(o.ML, packs, 1000)
	}
}

// upTo says how a stock is filled up.
func (s Stock) upTo() string {
	if s.OnWater {
		return fmt.Sprintf("The grams are to %s ml of WATER, so it comes to a little more.", number(s.MakeML))
	}
	return fmt.Sprintf("Dissolve in less water, then make it UP TO %s ml.", number(s.MakeML))
}
