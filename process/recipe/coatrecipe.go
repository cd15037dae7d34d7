package recipe

import (
	"fmt"
	"io/fs"
)

// Recipe says what is mixed and coated for one process: stock solutions, by the
// layer they go into, in parts. The built-in ones and the user's own have the
// same form in JSON (RecipeFile). Slices and maps of a Recipe are shared between
// callers and must not be changed.
type Recipe struct {
	ID      string `json:"id"`
	Process string `json:"process"` // ID of a Card; own recipes may name a process without one
	Name    string `json:"name"`
	// CoatingML8x10 takes the place of the card's; an own process without a card
	// needs it.
	CoatingML8x10 *Figure     `json:"coating_ml_8x10in,omitempty"`
	Layers        []Layer     `json:"layers"`
	Baths         []Solution  `json:"baths,omitempty"` // made for a tray: strength only
	Settings      []Setting   `json:"settings,omitempty"`
	Notes         []Statement `json:"notes"`
}

// Method is how a layer gets onto the paper.
type Method string

// The methods. What is floated or poured is measured in millilitres, never in
// drops, and has no loss in a brush.
const (
	Spread  Method = ""        // by brush or rod
	Floated Method = "floated" // the paper takes it up from a bath
	Poured  Method = "poured"
)

// Layer is what goes onto the paper between two dryings.
type Layer struct {
	Name   string `json:"name"`
	Method Method `json:"method,omitempty"`
	// Once: further coats of the process do not repeat this layer.
	Once           bool       `json:"once,omitempty"`
	CoatingMLPerM2 *Figure    `json:"coating_ml_per_m2,omitempty"` // takes the place of the process's
	Solutions      []Solution `json:"solutions"`
}

// Solution is one stock bottle.
type Solution struct {
	Name     string       `json:"name"`
	Parts    float64      `json:"parts"` // by volume in its layer; 0 unless a setting asks for it
	Contents []Ingredient `json:"contents"`
	// OnWater: grams are to 100 ml of water, not made up to 100 ml.
	OnWater bool     `json:"on_water,omitempty"`
	Making  string   `json:"making,omitempty"`
	Sources []Source `json:"sources"` // of parts and making
}

// Ingredient is one substance in a stock solution: grams (per cent w/v) or, for
// a liquid, millilitres in 100 ml of the finished solution. One of GramsPer100ML,
// MLPer100ML and GrainsPerOz is given.
type Ingredient struct {
	Chemical      string  `json:"chemical,omitempty"` // ID of a Chemical, whose hazards it has
	Name          string  `json:"name,omitempty"`     // as it is bought, where the chemical's name is not it
	GramsPer100ML float64 `json:"grams_per_100ml,omitempty"`
	MLPer100ML    float64 `json:"ml_per_100ml,omitempty"`
	// GrainsPerOz stands for grams_per_100ml in old recipes; Ounce says which.
	GrainsPerOz float64 `json:"grains_per_oz,omitempty"`
	Ounce       Ounce   `json:"ounce,omitempty"`
	// FromPercent: it is bought as a solution of this strength, w/v, and measured
	// in millilitres: volume = strength wanted x volume / strength bought.
	FromPercent float64    `json:"from_percent,omitempty"`
	Usual       *Span      `json:"usual,omitempty"` // in the same unit
	Form        string     `json:"form,omitempty"`  // what the grams are of: "dihydrate"
	Formula     string     `json:"formula,omitempty"`
	OtherForms  []SoldForm `json:"other_forms,omitempty"`
	Note        string     `json:"note,omitempty"`
	Sources     []Source   `json:"sources"`
}

// Ounce is a fluid ounce, which differs between countries.
type Ounce string

// The ounces.
const (
	ImperialOunce Ounce = "imperial"
	USOunce       Ounce = "us"
)

// gramsPerGrain is exact (international yard and pound agreement, 1959).
const gramsPerGrain = 0.06479891

// millilitres of each ounce, exact: an imperial gallon is 4.54609 litres and
// holds 160 (UK Weights and Measures Act 1985), a US gallon 231 cubic inches and
// holds 128 (NIST Handbook 44, appendix C).
var ounceML = map[Ounce]float64{
	ImperialOunce: 4546.09 / 160,
	USOunce:       231 * 2.54 * 2.54 * 2.54 / 128,
}

// percentWV returns grams in 100 ml of solution, 0 for a liquid.
func (c *Ingredient) percentWV() float64 {
	if c.GrainsPerOz > 0 {
		return c.GrainsPerOz * gramsPerGrain / ounceML[c.Ounce] * 100
	}
	return c.GramsPer100ML
}

// SoldForm is another form in which an ingredient is sold.
type SoldForm struct {
	Form    string `json:"form"`
	Formula string `json:"formula"`
}

// Setting is a contrast setting that changes the parts of solutions.
type Setting struct {
	Name    string             `json:"name"`
	Parts   map[string]float64 `json:"parts"` // by the solution's name
	Effect  string             `json:"effect,omitempty"`
	Sources []Source           `json:"sources"`
}

// Figure is one number with what is to be said of it. Its unit stands in the
// name of the field that holds it.
type Figure struct {
	Value   float64  `json:"value"`
	Text    string   `json:"text,omitempty"`
	Sources []Source `json:"sources"`
}

// Recipes returns the built-in recipes, the usual one of each process first.
func Recipes() []Recipe { return append([]Recipe(nil), data().recipes...) }

// solution returns the solution of the recipe's layers with exactly this name.
func (r *Recipe) solution(name string) (*Solution, bool) {
	for i := range r.Layers {
		for j := range r.Layers[i].Solutions {
			if s := &r.Layers[i].Solutions[j]; s.Name == name {
				return s, true
			}
		}
	}
	return nil, false
}

// chemicals returns the IDs of everything on file in solutions that the parts
// use, and in baths. used says which solutions are.
func (r *Recipe) chemicals(used func(name string) bool) []string {
	var ids []string
	add := func(s Solution) {
		for _, c := range s.Contents {
			if c.Chemical != "" {
				ids = append(ids, c.Chemical)
			}
		}
	}
	for _, l := range r.Layers {
		for _, s := range l.Solutions {
			if used(s.Name) {
				add(s)
			}
		}
	}
	for _, s := range r.Baths {
		add(s)
	}
	return ids
}

// addSources hands every list of sources of the recipe to add.
func (r *Recipe) addSources(add func(string, *[]Source)) {
	where := "recipe " + r.ID
	if r.CoatingML8x10 != nil {
		add(where, &r.CoatingML8x10.Sources)
	}
	for i := range r.Layers {
		l := &r.Layers[i]
		if l.CoatingMLPerM2 != nil {
			add(where, &l.CoatingMLPerM2.Sources)
		}
		for j := range l.Solutions {
			l.Solutions[j].addSources(where, add)
		}
	}
	for i := range r.Baths {
		r.Baths[i].addSources(where, add)
	}
	for i := range r.Settings {
		add(where, &r.Settings[i].Sources)
	}
	for i := range r.Notes {
		add(where, &r.Notes[i].Sources)
	}
}

func (s *Solution) addSources(where string, add func(string, *[]Source)) {
	add(where, &s.Sources)
	for i := range s.Contents {
		add(where, &s.Contents[i].Sources)
		if s.Contents[i].Usual != nil {
			add(where, &s.Contents[i].Usual.Sources)
		}
	}
}

// coatData is the data file of what holds for coating any process.
type coatData struct {
	Coverages     []Coverage      `json:"coverages"`
	Loss          Figure          `json:"loss"`
	DropsPerML    Figure          `json:"drops_per_ml"`
	WithoutRecipe []withoutRecipe `json:"without_recipe"`
}

// Coverage is a way of coating and how much it takes.
type Coverage struct {
	Name         string   `json:"name"`
	MLPerM2      float64  `json:"ml_per_m2"`
	LossFraction float64  `json:"loss_fraction"`
	Text         string   `json:"text"`
	Sources      []Source `json:"sources"`
}

// withoutRecipe says why a process has none.
type withoutRecipe struct {
	Process string `json:"process"`
	What    string `json:"what"`
	Hint    string `json:"hint"`
}

func (d *coatData) addSources(add func(string, *[]Source)) {
	for i := range d.Coverages {
		add("coverage "+d.Coverages[i].Name, &d.Coverages[i].Sources)
	}
	add("loss", &d.Loss.Sources)
	add("drops", &d.DropsPerML.Sources)
}

// Coverages returns the ways of coating that CoatPlan.Coverage can name.
func Coverages() []Coverage { return append([]Coverage(nil), data().coat.Coverages...) }

// UsualLoss is the share of what is mixed that stays in the brush.
func UsualLoss() Figure { return data().coat.Loss }

// UsualDropsPerML is how many drops a millilitre makes.
func UsualDropsPerML() Figure { return data().coat.DropsPerML }

func (lib *library) readRecipes(fsys fs.FS) error {
	const name = "data/recipes.json"
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		return err
	}
	var f RecipeFile
	if err := decode(name, text, &f); err != nil {
		return err
	}
	if f.Format != recipeForm.Format || f.Version != recipeForm.Version {
		return fmt.Errorf("%s: is not %s of version %d", name, recipeForm.Noun, recipeForm.Version)
	}
	lib.recipes = f.Recipes
	return nil
}
