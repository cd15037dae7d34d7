package printer

import (
	"math"
	"sort"
)

// RankOptions says what an ink colour must do.
type RankOptions struct {
	NeededRange float64 // log10; must be above 0
	NeededSD    float64 // its standard uncertainty
}

// Ranking is the order of colours as ink colours. Those that reach the needed
// range come first, the best first; then those that do not, the densest first.
type Ranking struct {
	NeededRange float64  `json:"needed_range"`
	NeededSD    float64  `json:"needed_range_sd"`
	Colours     []Ranked `json:"colours"`
	// Shortfall is by how much the densest colour falls short of the needed
	// range, doubt included; 0 where some colour reaches it.
	Shortfall float64 `json:"shortfall"`
}

// Ranked is one colour with what its ramp, straight from clear film, comes to
// within the needed range. UV densities are log10; what the prints do not tell
// is nil.
type Ranked struct {
	Red       float64  `json:"red"`
	Green     float64  `json:"green"`
	Blue      float64  `json:"blue"`
	UVDensity *float64 `json:"uv_density"`
	SD        *float64 `json:"sd"`
	AtLeast   *float64 `json:"at_least"`
	Reaches   bool     `json:"reaches"` // the needed range, 19 times in 20
	// Margin is what the colour stops beyond the needed range, its doubt taken
	// off; below 0 it does not reach it.
	Margin float64 `json:"margin"`
	// Reserve is the most that is known of what it stops beyond the needed range:
	// the margin, or what m predicts.
	Reserve float64 `json:"reserve"`
	// InkPercent is the film ink at which the ramp reaches the needed range, 100
	// where it does not.
	InkPercent float64 `json:"ink_percent"`
	InkLoad    float64 `json:"ink_load_percent"` // there: mean of (255 - code) / 255
	// Steepest is the UV density that one code value of the channel that moves
	// most adds where the ramp is steepest. Between printable levels, which the
	// other channels divide, a Gradation's largest step is mostly smaller.
	Steepest float64 `json:"steepest_uv_density_per_code"`
	Levels   int     `json:"levels"` // distinct printable levels up to there, at 8 bits
	Merit    float64 `json:"merit"`
	// LikeBetter says that a better colour is nearly the same.
	LikeBetter bool     `json:"like_better"`
	Reasons    []string `json:"reasons"`
}

// RGB returns the colour.
func (r Ranked) RGB() RGB { return RGB{r.Red, r.Green, r.Blue} }

// MeritRule says what the order goes by: what is taken off 100, one by one, for help.
var MeritRule = []string{
	"the ink load in %, at the film ink that reaches the needed range",
	"1 for each 0.002 of UV density that one code value adds at the steepest",
	"1 for each 0.01 by which the reserve beyond the range is short of 0.10",
	"1 for every 4 levels short of 128",
}

// The merit's weights, working values of ours. A reserve of 0.1 is a third of a
// stop, as much as exposures wander from day to day; 128 levels are half of what
// 8 bits have.
const (
	meritAll      = 100
	meritPerCode  = 500 // for a UV density of 1
	enoughReserve = 0.1
	meritReserve  = 100 // for a UV density of 1
	enoughLevels  = 128
	levelsPerMark = 4
)

// sure is how many standard uncertainties a colour must stand clear of the
// needed range: one-sided 95 % of the normal distribution.
const sure = 1.645

// Rank orders colours as ink colours; m tells what lies between them and clear
// film. Colours may be measured or predicted; clear film is left out. It panics
// unless the needed range is above 0.
func Rank(m Predictor, colours []Colour, o RankOptions) *Ranking {
	if !(o.NeededRange > 0) {
		panic("printer: a needed range that is not above 0")
	}
	r := &Ranking{NeededRange: o.NeededRange, NeededSD: o.NeededSD, Colours: []Ranked{}}
	for _, c := range colours {
		if c.RGB != Clear {
			r.Colours = append(r.Colours, o.judge(m, c))
		}
	}
	sort.SliceStable(r.Colours, func(i, j int) bool { return better(r.Colours[i], r.Colours[j]) })
	r.markLike()
	r.explain()
	r.Shortfall = r.shortfall()
	return r
}

// Find returns the place of a colour, nil where it is not ranked.
func (r *Ranking) Find(c RGB) *Ranked {
	for i := range r.Colours {
		if r.Colours[i].RGB() == c {
			return &r.Colours[i]
		}
	}
	return nil
}

// ShortList returns up to n of the best colours that reach the needed range,
// none of them nearly the same as a better one.
func (r *Ranking) ShortList(n int) []Ranked {
	var out []Ranked
	for _, c := range r.Colours {
		if len(out) < n && c.Reaches && !c.LikeBetter {
			out = append(out, c)
		}
	}
	return out
}

// judge works out the figures of one colour.
func (o RankOptions) judge(m Predictor, c Colour) Ranked {
	r := Ranked{Red: c.RGB[0], Green: c.RGB[1], Blue: c.RGB[2],
		UVDensity: known(c.UVDensity), SD: known(c.SD), AtLeast: known(c.AtLeast), Reasons: []string{}}
	r.Margin = o.margin(c)
	r.Reaches = r.Margin >= 0
	ramp := newCoarse(m, c.RGB)
	r.InkPercent = ramp.percentAt(o.NeededRange)
	r.InkLoad = inkLoad(Straight(c.RGB).At(r.InkPercent))
	r.Steepest = ramp.steepest(r.InkPercent)
	r.Levels = levelsUpTo(c.RGB, r.InkPercent)
	r.Reserve = max(r.Margin, ramp.end()-o.NeededRange)
	r.Merit = r.merit()
	return r
}

func (r Ranked) merit() float64 {
	reserve := max(0, enoughReserve-r.Reserve)
	levels := max(0, enoughLevels-r.Levels)
	return meritAll - r.InkLoad - float64(meritPerCode*r.Steepest) - float64(meritReserve*reserve) - float64(levels)/levelsPerMark
}

// margin is how far a colour surely stands above the needed range. A colour
// known by bounds alone stands where its lower bound is; one of which only an
// upper bound is known may stop nothing.
func (o RankOptions) margin(c Colour) float64 {
	switch {
	case c.Known():
		return c.UVDensity - o.NeededRange - float64(sure*math.Hypot(finite(c.SD), o.NeededSD))
	case !math.IsNaN(c.AtLeast):
		return c.AtLeast - o.NeededRange - float64(sure*o.NeededSD)
	}
	return -o.NeededRange
}

// better orders colours that reach the range by merit, the others by margin;
// equals by their code values.
func better(a, b Ranked) bool {
	switch {
	case a.Reaches != b.Reaches:
		return a.Reaches
	case a.Reaches && a.Merit != b.Merit:
		return a.Merit > b.Merit
	case !a.Reaches && a.Margin != b.Margin:
		return a.Margin > b.Margin
	}
	x, y := a.RGB(), b.RGB()
	for i := range x {
		if x[i] != y[i] {
			return x[i] < y[i]
		}
	}
	return false
}

func (r *Ranking) shortfall() float64 {
	if len(r.Colours) == 0 {
		return r.NeededRange
	}
	return max(0, -r.Colours[0].Margin)
}

// alike is how far apart, in code values of any channel, two ink colours of a
// short list are at least: a fifth of the way from clear to full ink (a working
// value of ours).
const alike = 51

// markLike marks colours of which a better one is nearly the same.
func (r *Ranking) markLike() {
	var kept []RGB
	for i := range r.Colours {
		c := &r.Colours[i]
		for _, k := range kept {
			c.LikeBetter = c.LikeBetter || farthest(c.RGB(), k) < alike
		}
		if !c.LikeBetter && c.Reaches {
			kept = append(kept, c.RGB())
		}
	}
}

// farthest is the largest difference of two colours in one channel.
func farthest(a, b RGB) float64 {
	d := 0.0
	for i := range a {
		d = max(d, math.Abs(a[i]-b[i]))
	}
	return d
}

// inkLoad is the nominal ink of a colour, % of the most a printer can be sent.
func inkLoad(c RGB) float64 { return 100 * (3*255 - c[0] - c[1] - c[2]) / (3 * 255) }

func known(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}
