package control

import (
	"fmt"
	"math"
	"slices"
)

// Fading is how the UV density of the negative goes with its age, where checks of
// a ramp tell both. It is taken as a share of UV density: another exposure changes
// all film inks alike, a dye that fades takes most from the densest. Contrast
// changes in the same way, but not with the negative's age.
type Fading struct {
	Points []FadingPoint `json:"points"`
	// ShareADay is the share of its UV density that the negative loses (below 0) or
	// gains in a day, with its doubt; Ages is how many days the negatives differ in.
	ShareADay Value   `json:"share_a_day"`
	Days      float64 `json:"days_between"`
	// Line is the fitted line over the ages, with its doubt.
	Line []FadingNode `json:"line"`
	// Sure says that chance alone gives such a change in less than one case of twenty.
	Sure bool   `json:"sure"`
	Text string `json:"text"`
}

// FadingPoint is one check: age of the negative, and UV density as a share of
// what the calibration expects, 1 for none lost.
type FadingPoint struct {
	Check int     `json:"check"`
	Days  float64 `json:"age_days"`
	Share float64 `json:"share_of_expected"`
	SD    float64 `json:"sd"`
}

// FadingNode is a place on the fitted line.
type FadingNode struct {
	Days  float64 `json:"age_days"`
	Share float64 `json:"share_of_expected"`
	SD    float64 `json:"sd"`
}

// mostAgeHours is more than a negative is old: about a hundred years.
const mostAgeHours = 876_600

// fewestAges is how many checks a slope is taken from: with fewer no doubt can
// be told.
const fewestAges = 4

// fadingOf returns how the negatives of the checks fade, nil where too few tell
// UV density and age, or all ages are one.
func fadingOf(inputs []DriftInput) *Fading {
	f := Fading{Points: []FadingPoint{}}
	low, high := math.Inf(1), math.Inf(-1)
	for i, in := range inputs {
		hours := in.Check.Record.NegativeHours
		share := shareOfExpected(in.Check.UVDensity)
		if hours == nil || !(*hours >= 0 && *hours <= mostAgeHours) || share == nil {
			continue
		}
		days := *hours / 24
		low, high = min(low, days), max(high, days)
		f.Points = append(f.Points, FadingPoint{Check: i + 1, Days: days, Share: share.Value, SD: share.SD})
	}
	if len(f.Points) < fewestAges || high-low < 1 {
		return nil
	}
	f.Days = high - low
	f.ShareADay, f.Line = slopeByAge(f.Points, low, high)
	f.Sure = math.Abs(f.ShareADay.Value) > studentReach(0.05, float64(len(f.Points)-2))*f.ShareADay.SD
	f.Text = f.words()
	return &f
}

// shareOfExpected is the slope of the UV densities read over those expected, free
// of a difference that all film inks share: that is exposure.
func shareOfExpected(all []UV) *Value {
	all = slices.DeleteFunc(slices.Clone(all), func(u UV) bool { return !sane(u.Read) || !(math.Abs(u.Expected) <= mostLstar) })
	var weight, x, y float64
	for _, u := range all {
		w := 1 / max(u.Read.SD*u.Read.SD, 1e-6)
		weight, x, y = weight+w, x+w*u.Expected, y+w*u.Read.Value
	}
	if len(all) < 3 {
		return nil
	}
	var xx, xy float64
	for _, u := range all {
		w := 1 / max(u.Read.SD*u.Read.SD, 1e-6)
		d := u.Expected - x/weight
		xx, xy = xx+w*d*d, xy+w*d*(u.Read.Value-y/weight)
	}
	if !(xx > 0) {
		return nil
	}
	return &Value{Value: xy / xx, SD: 1 / math.Sqrt(xx)}
}

// lineNodes is how many nodes the fitted line has: enough for the band's bend.
const lineNodes = 11

// slopeByAge is the least-squares line, with the doubt that the scatter about it
// gives, or the readings' own where that is more.
func slopeByAge(points []FadingPoint, low, high float64) (Value, []FadingNode) {
	n := float64(len(points))
	var x, y, xx, xy float64
	for _, p := range points {
		x, y = x+p.Days/n, y+p.Share/n
	}
	for _, p := range points {
		xx, xy = xx+(p.Days-x)*(p.Days-x), xy+(p.Days-x)*(p.Share-y)
	}
	slope := xy / xx
	var left, own float64
	for _, p := range points {
		d := p.Share - y - slope*(p.Days-x)
		left, own = left+d*d/(n-2), own+p.SD*p.SD/n
	}
	variance := max(left, own)
	var line []FadingNode
	for i := range lineNodes {
		days := low + (high-low)*float64(i)/(lineNodes-1)
		sd := math.Sqrt(variance/n + variance*(days-x)*(days-x)/xx)
		line = append(line, FadingNode{days, y + slope*(days-x), sd})
	}
	return Value{Value: slope, SD: math.Sqrt(variance / xx)}, line
}

// words tells the change over thirty days.
func (f Fading) words() string {
	month := 30 * 100 * f.ShareADay.Value
	doubt := 30 * 100 * f.ShareADay.SD
	switch {
	case f.Sure && month < 0:
		return fmt.Sprintf("the negatives fade: in 30 days they lose %.1f +- %.1f %% of their UV density. Print a new negative rather than change the time.", -month, doubt)
	case f.Sure:
		return fmt.Sprintf("the negatives gain %.1f +- %.1f %% of their UV density in 30 days: film that dries for longer may do that. Let negatives dry equally long.", month, doubt)
	}
	return fmt.Sprintf("no fading seen: %+.1f +- %.1f %% of UV density in 30 days.", month, doubt)
}
