package calibration

import (
	"cmp"
	"math"
	"slices"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// Range is a length in log exposure with its standard uncertainty, told three
// ways.
type Range struct {
	Log10 Value    `json:"log10"`
	Stops Value    `json:"stops"`        // of 0.30
	Steps Optional `json:"tablet_steps"` // null where the tablet's steps are uneven
}

// TabletSummary is what a print of a step tablet says about a process. Log
// exposure 0 is the exposure that the print was given. What the readings do not
// reach is null.
type TabletSummary struct {
	Readings  string   `json:"readings"` // base name of the file
	Steps     int      `json:"steps"`
	Increment *float64 `json:"tablet_increment"` // null where uneven
	// Nominal: the tablet's densities are nominal, with a doubt of their own
	// that is in every figure of log exposure.
	Nominal bool `json:"tablet_nominal"`
	// Falling: prints lighten with exposure, and there is no first black.
	Falling bool `json:"print_density_falls_with_exposure"`

	PaperDensity    Optional `json:"paper_density"`
	MaximumDensity  Optional `json:"maximum_density"`
	ExposureScale   *Range   `json:"exposure_scale"`
	NeededRange     *Range   `json:"needed_range"`
	ISORange        *int     `json:"iso_range"`
	AverageGradient Optional `json:"average_gradient"`

	Toe      Optional `json:"log_exposure_toe"`      // 0.04 above the paper
	Speed    Optional `json:"log_exposure_speed"`    // 0.60 above the paper
	Shoulder Optional `json:"log_exposure_shoulder"` // 90 % of net maximum density
	Black    Optional `json:"log_exposure_black"`    // 97 % of net maximum density

	// FirstBlackShare is the first-black exposure as a share of the one given;
	// FirstBlack is that exposure, null when the one given is not known.
	FirstBlackShare Optional `json:"first_black_share"`
	Exposure        *float64 `json:"exposure"`
	FirstBlack      Optional `json:"first_black"`
	Unit            string   `json:"exposure_unit"`

	NoiseLstar   *float64  `json:"noise_lstar"`
	NoiseDensity *float64  `json:"noise_density"`
	Outliers     []Outlier `json:"outliers"`
	Reversed     []string  `json:"reversed"` // one sentence a reversal
	Missing      []string  `json:"missing"`  // one sentence an end
	Notices      []string  `json:"notices"`
}

// TabletSummary sums up an estimate from one print of a step tablet, which was
// given the exposure; the zero Exposure when that is not known.
func (e *Estimate) TabletSummary(given sensitometry.Exposure) TabletSummary {
	t := e.prints[0].Tablet
	out := TabletSummary{Readings: t.Name, Steps: len(t.Readings), Unit: given.Unit, Notices: t.Notices,
		Nominal: e.tabletScaleDoubt() > 0, Falling: e.Curve().Form.Falling, Outliers: e.Outliers()}
	out.Increment = increment(t)
	out.fillFigures(e.Sensitometry())
	if given.Amount > 0 {
		out.Exposure = &given.Amount
	}
	if !out.Falling {
		out.FirstBlackShare = known(e.FirstBlack(1))
	}
	if !out.Falling && given.Amount > 0 {
		out.FirstBlack = known(e.FirstBlack(given.Amount))
	}
	l, d := e.Noise()
	out.NoiseLstar, out.NoiseDensity = number(l), number(d)
	for _, f := range e.Flagged {
		out.Notices = append(slices.Clone(out.Notices), f.String())
	}
	for _, r := range e.Reversed {
		out.Reversed = append(out.Reversed, r.String())
	}
	out.emptyLists()
	return out
}

// emptyLists makes lists of nothing empty, not null, in JSON.
func (out *TabletSummary) emptyLists() {
	out.Outliers = append([]Outlier{}, out.Outliers...)
	for _, list := range []*[]string{&out.Reversed, &out.Missing, &out.Notices} {
		*list = append([]string{}, *list...)
	}
}

func (out *TabletSummary) fillFigures(s Sensitometry) {
	out.PaperDensity, out.MaximumDensity = known(s.PaperDensity), known(s.MaximumDensity)
	out.ExposureScale = newRange(s.ExposureScale, out.Increment)
	out.NeededRange = newRange(s.NeededRange, out.Increment)
	if s.ExposureScale.Known() {
		iso := sensitometry.ISORange(density.LogExposure(s.ExposureScale.Value))
		out.ISORange = &iso
	}
	out.AverageGradient = known(s.AverageGradient)
	out.Toe, out.Speed, out.Shoulder, out.Black = known(s.Toe), known(s.Speed), known(s.Shoulder), known(s.Black)
	for _, m := range s.Missing {
		out.Missing = append(out.Missing, m.Error())
	}
}

// newRange returns a range in its three units, or nil where it is not known.
func newRange(v Value, increment *float64) *Range {
	if !v.Known() {
		return nil
	}
	r := &Range{Log10: v, Stops: v.over(density.Stop)}
	if increment != nil {
		steps := v.over(*increment)
		r.Steps = &steps
	}
	return r
}

func (v Value) over(unit float64) Value { return Value{v.Value / unit, v.SD / unit} }

// number returns v, or nil for null.
func number(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

// evenSteps is how far the steps of a tablet may differ, as a share of their
// mean, and still be counted as even: measured tablets scatter by some hundredths.
const evenSteps = 0.35

// increment returns the density of one step of a tablet, or nil where steps are
// uneven.
func increment(t *measure.Table) *float64 {
	d := make([]density.Density, 0, len(t.Readings))
	for _, r := range t.Readings {
		d = append(d, r.Tablet)
	}
	slices.SortFunc(d, cmp.Compare[density.Density])
	d = slices.Compact(d)
	if len(d) < 2 {
		return nil
	}
	mean := float64(d[len(d)-1]-d[0]) / float64(len(d)-1)
	for i := 1; i < len(d); i++ {
		if math.Abs(float64(d[i]-d[i-1])-mean) > evenSteps*mean {
			return nil
		}
	}
	return &mean
}

// EyeSummary is what two steps read by eye say, roughly.
type EyeSummary struct {
	Tablet      string `json:"tablet"` // notation
	LastBlack   int    `json:"last_black_step"`
	LastSeen    int    `json:"last_step_seen"`
	NeededRange Range  `json:"needed_range"`

	FirstBlackShare Value    `json:"first_black_share"`
	Exposure        *float64 `json:"exposure"`
	FirstBlack      Optional `json:"first_black"`
	Unit            string   `json:"exposure_unit"`
}

// SummariseEye puts a reading by eye into the units of a TabletSummary. From
// first black to the first tone is what the eye sees of the needed range.
func SummariseEye(eye sensitometry.Eye, given sensitometry.Exposure) EyeSummary {
	out := EyeSummary{Unit: given.Unit}
	out.NeededRange = *newRange(Value{eye.ExposureScale, eye.ScaleSD}, &eye.Increment)
	share := sensitometry.FirstBlack(1, density.LogExposure(eye.FirstBlackShift))
	out.FirstBlackShare = Value{share, share * math.Ln10 * eye.BlackSD}
	if given.Amount > 0 {
		out.Exposure = &given.Amount
		out.FirstBlack = &Value{given.Amount * share, given.Amount * out.FirstBlackShare.SD}
	}
	return out
}
