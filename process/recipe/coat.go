package recipe

import (
	"math"
	"slices"

	"actinic/process/fault"
)

// CoatPlan asks how much to mix. Process, WidthMM, HeightMM and Prints are
// needed; the zero value of the rest is what its comment says.
type CoatPlan struct {
	Process  string  // a name as Find takes it, or that of an own recipe
	Recipe   string  // ID of a recipe; "" is the usual one of the process
	WidthMM  float64 // of what is coated, 5 to 5080
	HeightMM float64
	Prints   int     // 1 to 10000
	Coats    int     // 1 to 20; 0 is 1
	Coverage string  // name of a Coverage ("rod", "brush"); "" is the card's typical coating
	MLPerM2  float64 // takes the place of Coverage where above 0; at most 10000
	// LossFraction is the share, 0 to 0.9, of what is mixed that never reaches
	// the paper: mixed = coating / (1 - share). 0 is none; UsualLoss has the
	// usual one. What is floated or poured has none.
	LossFraction float64
	DropsPerML   float64            // 5 to 100; 0 is UsualDropsPerML
	Contrast     string             // a setting by name, or an exposure scale; "" is none
	Parts        map[string]float64 // by the name of the solution, instead of the recipe's
	Book         *Book              // nil is BuiltIn
}

// Coating answers a CoatPlan: what to measure out, make up, order and mind. Its
// JSON has the unit of each figure in the name of its field.
type Coating struct {
	Process     string `json:"process"`
	ProcessName string `json:"process_name"`
	Recipe      Recipe `json:"recipe"`

	WidthMM      float64  `json:"width_mm"`
	HeightMM     float64  `json:"height_mm"`
	AreaM2       float64  `json:"area_m2"` // of one print
	Prints       int      `json:"prints"`
	Coats        int      `json:"coats"`
	LossFraction float64  `json:"loss_fraction"`
	LossSources  []Source `json:"loss_sources"`
	DropsPerML   float64  `json:"drops_per_ml"`
	DropsSources []Source `json:"drops_sources"`

	Incompatible []Meeting    `json:"incompatible"`
	Lines        []CoatLine   `json:"lines"`
	Layers       []LayerTotal `json:"layers"`
	Stocks       []Stock      `json:"stocks"`
	Baths        []Stock      `json:"baths"` // strength only
	Orders       []Order      `json:"orders"`
	Cost         *Cost        `json:"cost"` // nil without prices

	Contrast         *ContrastChoice  `json:"contrast"` // nil where none was asked for
	ContrastSettings []ContrastChoice `json:"contrast_settings"`

	Notes     []Statement `json:"notes"`
	Hazards   []Hazard    `json:"hazards"`
	NotOnFile []string    `json:"not_on_file"` // ingredients whose hazards nobody looked up
	Cautions  []string    `json:"cautions"`
	Disposal  []Statement `json:"disposal"`
	Sources   []Source    `json:"sources"` // all that are cited, in the order of the sheet

	chemicals []string // IDs of what the plan and the later steps cannot do without
}

// CoatLine is one stock solution in one layer.
type CoatLine struct {
	Layer    string  `json:"layer"`
	Solution string  `json:"solution"`
	Parts    float64 `json:"parts"`
	// MLPerPrint is for all coats of the print, loss included; MLInAll is exactly
	// MLPerPrint times the prints.
	MLPerPrint float64 `json:"ml_per_print"`
	// DropsPerPrint is the nearest whole number; nil for what is not dropped.
	DropsPerPrint *int     `json:"drops_per_print"`
	MLInAll       float64  `json:"ml_in_all"`
	Sources       []Source `json:"sources"`
}

// LayerTotal is one layer: its solutions together.
type LayerTotal struct {
	Layer      string   `json:"layer"`
	Method     Method   `json:"method"`
	Coats      int      `json:"coats"`
	MLPerM2    float64  `json:"coating_ml_per_m2"` // of one coat, on the paper
	Text       string   `json:"text"`              // on that figure
	MLPerCoat  float64  `json:"ml_per_coat"`       // on the paper
	MLPerPrint float64  `json:"ml_per_print"`      // to measure out: all coats, loss included
	MLInAll    float64  `json:"ml_in_all"`
	Sources    []Source `json:"sources"`
}

// Coat works out a plan. It refuses, with a *fault.Error that says what to do,
// a process that comes coated or whose strengths are not on file, and figures
// outside the bounds of CoatPlan.
//
// Arithmetic: coating = area x ml per square metre, once for each coat; what is
// mixed is coating / (1 - loss); a solution takes its share of the parts; drops
// are ml x drops per ml, rounded.
func Coat(plan CoatPlan) (*Coating, error) {
	b := plan.Book
	if b == nil {
		b = BuiltIn()
	}
	if err := plan.check(); err != nil {
		return nil, err
	}
	job, err := b.lib.coatJob(plan)
	if err != nil {
		return nil, err
	}
	if err := job.choose(); err != nil {
		return nil, err
	}
	c := job.begin()
	if err := job.measure(c); err != nil {
		return nil, err
	}
	c.Stocks, c.Baths = job.stocks(c.Lines)
	c.Orders = orders(append(slices.Clone(c.Stocks), c.Baths...))
	job.mind(c)
	c.Sources = c.allSources()
	return c, nil
}

// coatJob is a plan with what it names looked up.
type coatJob struct {
	lib     *library
	plan    CoatPlan
	card    *Card // nil for an own process without a card
	process string
	recipe  Recipe
	parts   map[string]float64
	choice  *ContrastChoice
	choices []ContrastChoice
}

// begin returns the Coating with what was asked for and nothing worked out.
func (j *coatJob) begin() *Coating {
	p := j.plan
	c := &Coating{
		Process: j.process, ProcessName: j.process, Recipe: j.recipe,
		WidthMM: p.WidthMM, HeightMM: p.HeightMM, AreaM2: p.WidthMM * p.HeightMM * 1e-6,
		Prints: p.Prints, Coats: p.coats(),
		LossFraction: p.LossFraction, LossSources: []Source{},
		DropsPerML: p.DropsPerML, DropsSources: []Source{},
		Contrast: j.choice, ContrastSettings: j.choices,
		Notes: append([]Statement{}, j.recipe.Notes...),
	}
	if j.card != nil {
		c.ProcessName = j.card.Name
	}
	if usual := j.lib.coat.Loss; p.LossFraction == usual.Value {
		c.LossSources = usual.Sources
	}
	usual := j.lib.coat.DropsPerML
	if c.DropsPerML == 0 {
		c.DropsPerML = usual.Value
	}
	if c.DropsPerML == usual.Value {
		c.DropsSources = usual.Sources
	}
	return c
}

// measure fills in layers and lines.
func (j *coatJob) measure(c *Coating) error {
	anyLoss := false
	for _, l := range j.recipe.Layers {
		t, err := j.total(c, l)
		if err != nil {
			return err
		}
		c.Layers = append(c.Layers, t)
		anyLoss = anyLoss || l.Method == Spread
		all := 0.0
		for _, s := range l.Solutions {
			all += j.partsOf(s)
		}
		for _, s := range l.Solutions {
			if parts := j.partsOf(s); parts > 0 {
				c.Lines = append(c.Lines, j.line(c, t, s, parts/all))
			}
		}
	}
	if !anyLoss {
		c.LossFraction, c.LossSources = 0, []Source{}
	}
	return nil
}

// total works out one layer.
func (j *coatJob) total(c *Coating, l Layer) (LayerTotal, error) {
	t := LayerTotal{Layer: l.Name, Method: l.Method, Coats: c.Coats}
	if l.Once {
		t.Coats = 1
	}
	cover, err := j.coverage(l)
	if err != nil {
		return t, err
	}
	t.MLPerM2, t.Text, t.Sources = cover.MLPerM2, cover.Text, cover.Sources
	t.MLPerCoat = c.AreaM2 * cover.MLPerM2
	t.MLPerPrint = t.MLPerCoat * float64(t.Coats)
	if l.Method == Spread {
		t.MLPerPrint /= 1 - c.LossFraction
	}
	t.MLInAll = t.MLPerPrint * float64(c.Prints)
	return t, nil
}

func (j *coatJob) line(c *Coating, t LayerTotal, s Solution, share float64) CoatLine {
	l := CoatLine{Layer: t.Layer, Solution: s.Name, Parts: j.partsOf(s), MLPerPrint: t.MLPerPrint * share,
		Sources: j.partsSources(s)}
	l.MLInAll = l.MLPerPrint * float64(c.Prints)
	if t.Method == Spread {
		drops := int(math.Round(l.MLPerPrint * c.DropsPerML))
		l.DropsPerPrint = &drops
	}
	return l
}

// coverage returns what one coat of a layer takes: as the plan says, else the
// layer, the recipe or the card.
func (j *coatJob) coverage(l Layer) (Coverage, error) {
	switch {
	case l.CoatingMLPerM2 != nil: // a size or the like, which no rod or brush changes
		f := l.CoatingMLPerM2
		return Coverage{MLPerM2: f.Value, Text: f.Text, Sources: f.Sources}, nil
	case j.plan.MLPerM2 > 0:
		return Coverage{MLPerM2: j.plan.MLPerM2, Text: "as given", Sources: []Source{}}, nil
	case j.plan.Coverage != "":
		return j.lib.namedCoverage(j.plan.Coverage)
	case j.recipe.CoatingML8x10 != nil:
		f := j.recipe.CoatingML8x10
		return Coverage{MLPerM2: f.Value / squareMetres8x10, Text: f.Text, Sources: f.Sources}, nil
	case j.card != nil && j.card.CoatingML8x10 != nil:
		k := j.card.CoatingML8x10
		text := "the card's typical " + number(k.Typical) + " ml for 8 x 10 in, in use " + number(k.Low) + " to " + number(k.High)
		return Coverage{MLPerM2: j.card.CoatingMLPerM2(), Text: text, Sources: k.Sources}, nil
	}
	return Coverage{}, fault.New("", "recipe "+quote(j.recipe.ID), "neither it nor a card says how much coats the process",
		"give the millilitres for a square metre with --coverage")
}

func (lib *library) namedCoverage(name string) (Coverage, error) {
	names := make([][]string, len(lib.coat.Coverages))
	for i, c := range lib.coat.Coverages {
		names[i] = []string{c.Name}
	}
	i, err := lookup("coverage", name, names, "give ml for a square metre, rod or brush")
	if err != nil {
		return Coverage{}, err
	}
	return lib.coat.Coverages[i], nil
}

// partsOf returns the parts of a solution: the plan's, else those of the
// contrast setting, else the recipe's.
func (j *coatJob) partsOf(s Solution) float64 {
	if p, ok := j.parts[s.Name]; ok {
		return p
	}
	return s.Parts
}

// partsSources returns the sources of a solution's parts.
func (j *coatJob) partsSources(s Solution) []Source {
	if j.plan.ownParts(s.Name) {
		return []Source{}
	}
	if _, set := j.parts[s.Name]; set && j.choice != nil {
		return j.choice.Sources
	}
	return s.Sources
}

func (p CoatPlan) ownParts(name string) bool {
	for key := range p.Parts {
		if plain(key) == plain(name) {
			return true
		}
	}
	return false
}

// allSources returns every source that the sheet cites, each once.
func (c *Coating) allSources() []Source {
	all, have := []Source{}, map[string]bool{}
	for _, list := range c.sourceLists() {
		for _, s := range list {
			if !have[s.Key] {
				have[s.Key] = true
				all = append(all, s)
			}
		}
	}
	return all
}

func (c *Coating) sourceLists() [][]Source {
	lists := [][]Source{}
	for _, m := range c.Incompatible {
		lists = append(lists, m.Sources)
	}
	for _, l := range c.Layers {
		lists = append(lists, l.Sources)
	}
	lists = append(lists, c.LossSources, c.DropsSources)
	for _, l := range c.Lines {
		lists = append(lists, l.Sources)
	}
	for _, s := range append(slices.Clone(c.Stocks), c.Baths...) {
		lists = append(lists, s.Sources)
		for _, w := range s.Weights {
			lists = append(lists, w.Sources)
		}
	}
	if c.Contrast != nil {
		lists = append(lists, c.Contrast.Sources)
	}
	for _, s := range c.ContrastSettings {
		lists = append(lists, s.Sources)
	}
	for _, group := range [][]Statement{c.Notes, c.Disposal} {
		for _, s := range group {
			lists = append(lists, s.Sources)
		}
	}
	for _, h := range c.Hazards {
		lists = append(lists, h.Chemical.Sources)
	}
	return lists
}
