package recipe

import (
	"math"

	"actinic/process/density"
)

// Polarity is the sense of the film that a process needs.
type Polarity string

// The two senses of a film.
const (
	Negative Polarity = "negative"
	Positive Polarity = "positive"
)

// Range is a low, a typical and a high value of one quantity, in the unit that
// the field's name gives.
type Range[T ~float64] struct {
	Low     T        `json:"low"`
	Typical T        `json:"typical"`
	High    T        `json:"high"`
	Sources []Source `json:"sources"`
}

// Span is a low and a high value; no typical one is known.
type Span struct {
	Low     float64  `json:"low"`
	High    float64  `json:"high"`
	Sources []Source `json:"sources"`
}

// Middle returns the arithmetic middle.
func (s Span) Middle() float64 { return (s.Low + s.High) / 2 }

// Hue is the colour of the print at maximum density as ranges of CIELAB
// coordinates. It is an estimate, and Label says so.
type Hue struct {
	Label     string `json:"label"`
	Lightness Span   `json:"lightness"`
	A         Span   `json:"a"`
	B         Span   `json:"b"`
}

// Middle returns the middle of the three ranges: L*, a*, b* of a typical print
// at maximum density. An estimate.
func (h Hue) Middle() (lightness density.Lightness, a, b float64) {
	return density.Lightness(h.Lightness.Middle()), h.A.Middle(), h.B.Middle()
}

// ChemicalUse is one chemical in one process.
type ChemicalUse struct {
	ID       string `json:"id"` // of a Chemical
	Role     string `json:"role"`
	Optional bool   `json:"optional"`
}

// StartingExposure is a first guess for test strips.
type StartingExposure struct {
	Minutes float64 `json:"minutes"` // 0 when no single time makes sense
	Label   string  `json:"label"`
}

// Light is what a process is exposed to.
type Light string

// The kinds of light.
const (
	UVLamp   Light = "uv_lamp"
	Daylight Light = "daylight"
)

// Card is one process: how it is worked and what to start from. Slices of a
// Card are shared between callers and must not be changed.
type Card struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	FullName string   `json:"full_name"`
	Aliases  []string `json:"aliases"` // other names that Find accepts

	Polarity Polarity `json:"polarity"`
	// Falling: more exposure gives a lighter print (positive-working).
	Falling    bool   `json:"print_lightens_with_exposure"`
	Mirrored   bool   `json:"mirrored"` // the film is printed mirrored left to right
	MirrorNote string `json:"mirror_note"`

	Mode       string      `json:"mode"`
	Image      string      `json:"image"` // what the picture is made of
	Light      Light       `json:"light"`
	Sensitiser []Statement `json:"sensitiser"`
	Steps      []Statement `json:"steps"`

	ExposureScale    Range[density.LogExposure] `json:"exposure_scale"`
	ExposureMinutes  Span                       `json:"exposure_minutes"`
	ExposureBasis    string                     `json:"exposure_basis"`
	StartingExposure StartingExposure           `json:"starting_exposure"`
	// CoatingML8x10 is nil for a material that comes coated.
	CoatingML8x10   *Range[float64]        `json:"coating_ml_8x10in"`
	Coats           string                 `json:"coats"`
	HumidityPercent Span                   `json:"humidity_percent"`
	MaximumDensity  Range[density.Density] `json:"maximum_density"`
	Hue             Statement              `json:"hue"`
	HueLab          Hue                    `json:"hue_lab"`
	UVNM            Span                   `json:"uv_nm"`      // useful radiation
	UVPeakNM        float64                `json:"uv_peak_nm"` // 0 when unknown

	ContrastControls []Statement   `json:"contrast_controls"`
	ContrastTable    []ContrastRow `json:"contrast_table"`
	DryDown          []Statement   `json:"dry_down"`
	Notes            []Statement   `json:"notes"`

	Chemicals []ChemicalUse `json:"chemicals"`
	// HazardLevel is that of the chemicals the process cannot do without;
	// HazardLevelWithOptions takes in the optional ones.
	HazardLevel            HazardLevel `json:"hazard_level"`
	HazardLevelWithOptions HazardLevel `json:"hazard_level_with_options"`
	WorstHazards           string      `json:"worst_hazards"`
}

// Cards returns every process card, sorted by ID.
func Cards() []Card { return append([]Card(nil), data().cards...) }

// startingExposure returns the geometric middle of a range of minutes: times
// act by their ratio, so it is the guess that is wrong by the smallest factor.
// A range wider than a factor of 30 has no useful middle.
func startingExposure(minutes Span) StartingExposure {
	if minutes.High > 30*minutes.Low {
		return StartingExposure{Label: "the range is too wide for one starting time: look at the print from time to time"}
	}
	return StartingExposure{
		Minutes: math.Sqrt(float64(minutes.Low * minutes.High)),
		Label:   "geometric middle of the range: a first guess for test strips, not a measured figure",
	}
}

// squareMetres8x10 is the area of 8 x 10 inches.
const squareMetres8x10 = 8 * 10 * 0.0254 * 0.0254

// CoatingMLPerM2 returns the typical coating in millilitres per square metre,
// or 0 for a material that comes coated.
func (c Card) CoatingMLPerM2() float64 {
	if c.CoatingML8x10 == nil {
		return 0
	}
	return c.CoatingML8x10.Typical / squareMetres8x10
}

// ChemicalIDs returns the IDs of the chemicals the process uses, optional ones
// included when options is set, in the card's order.
func (c Card) ChemicalIDs(options bool) []string {
	ids := make([]string, 0, len(c.Chemicals))
	for _, use := range c.Chemicals {
		if options || !use.Optional {
			ids = append(ids, use.ID)
		}
	}
	return ids
}

// sourceLists returns every list of sources on the card, so that all of them
// are resolved, checked and listed by the same walk.
func (c *Card) sourceLists() []*[]Source {
	lists := []*[]Source{
		&c.ExposureScale.Sources, &c.ExposureMinutes.Sources, &c.HumidityPercent.Sources,
		&c.MaximumDensity.Sources, &c.Hue.Sources, &c.HueLab.Lightness.Sources,
		&c.HueLab.A.Sources, &c.HueLab.B.Sources, &c.UVNM.Sources,
	}
	if c.CoatingML8x10 != nil {
		lists = append(lists, &c.CoatingML8x10.Sources)
	}
	for _, s := range c.statements() {
		lists = append(lists, &s.Sources)
	}
	return lists
}

// statements returns the card's texts that carry sources.
func (c *Card) statements() []*Statement {
	var all []*Statement
	for _, group := range [][]Statement{c.Sensitiser, c.Steps, c.ContrastControls, c.DryDown, c.Notes} {
		for i := range group {
			all = append(all, &group[i])
		}
	}
	return all
}
