package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/measure"
	"actinic/process/printer"
)

// colourFit is the work of FitColours. What readings share is a vector of
// coefficients: first those of the doubt that the tablets left in the curve and in
// the sheets' deviations, of unit variance each; then the deviations of sheets
// without a tablet; then the surfaces of uneven light and coating. Each colour has
// a UV density of its own. About a first match all enter a reading linearly.
type colourFit struct {
	options    *Options
	prints     []ColourPrint
	sheets     []colourSheet
	reversed   []Reversal
	estimate   *Estimate
	groups     map[groupKey]int
	noise      noise
	firstNoise noise // before any colour was settled

	readings []colourReading
	colours  []matched
	low      float64 // the UV densities within reach
	high     float64

	modes     *mat.Dense // parameters of the curve by the first coefficients
	gain      *mat.Dense // how the curve's parameters give way to the surfaces; nil for none
	fittedAt  []float64  // the surfaces that the tablets were evened by
	byTablets *tabletView
	loose     []int     // sheets without a tablet
	strays    []float64 // by group of readings: how far tones stray
	uneven    surfaces
	shared    []float64     // coefficients
	sharedAt  []float64     // where the readings are linearised
	covar     *mat.SymDense // of the coefficients
	beyond    *mat.SymDense // of those beyond the curve's; nil before the model was asked
}

// colourReading is one reading of a colour. Linearised about the colour's UV
// density, its distance from what it should read is, in terms of its noise,
//
//	distance = byUV x (change of UV density) + by . (change of coefficients) + normal noise of 1
type colourReading struct {
	observation
	colour   int
	weight   float64 // robust, 0 to 1
	distance float64
	byUV     float64
	byTone   float64 // by the doubt that all tones of a scan have in common
	by       []float64
	direct   []float64 // by the coefficients beyond the curve's, the curve held
}

// matched is a colour with its readings.
type matched struct {
	rgb      printer.RGB
	readings []int
	aside    []aside
	uv       float64
	info     float64   // 1 / own variance
	by       []float64 // how uv answers to the coefficients
	byTone   float64   // and to the doubt that all tones of a scan have in common
	bounds   [2]float64
	closed   bool // no UV density far from uv explains the readings
	known    bool
}

// collect turns tables into readings, and gathers those of one colour.
func (f *colourFit) collect() {
	f.firstNoise = make(noise, len(f.groups))
	for key, g := range f.groups {
		f.firstNoise[g] = usualNoise(key)
	}
	f.strays = make([]float64, len(f.groups))
	at := map[printer.RGB]int{}
	for k, s := range f.sheets {
		doubt := statedDoubt(s.colours)
		group := f.group(groupKey{s.colours.Unit, doubt != nil})
		f.strays[group] = math.Max(f.strays[group], strayOf(s.colours))
		for i, r := range s.colours.Readings {
			o := observation{print: k, ink: math.NaN(), value: r.Value, unit: r.Unit, scale: 1, table: s.colours, index: i, group: group}
			if doubt != nil {
				o.scale = doubt[i]
			}
			c, ok := at[r.Device]
			if !ok {
				c = len(f.colours)
				at[r.Device] = c
				f.colours = append(f.colours, matched{rgb: r.Device})
			}
			if f.putAside(k, r) {
				f.colours[c].aside = append(f.colours[c].aside, aside{r.ID, k})
				continue
			}
			f.colours[c].readings = append(f.colours[c].readings, len(f.readings))
			f.readings = append(f.readings, colourReading{observation: o, colour: c, weight: 1})
		}
	}
	f.setUsual()
	f.noise = append(slices.Clone(f.estimate.fit.noise), f.firstNoise[len(f.estimate.fit.noise):]...)
}

// How far tones may lie off the curve beyond noise and the curve's own doubt: by the
// light and flare of a scan, from place to place, and where a form bends otherwise
// than the paper. L*, and print density (working values of ours, from simulated
// prints: paper white under dense colours read some 0.3 L* off that under the
// tablet). In mid-tones it is next to nothing; near paper white it decides whether
// a colour is a number.
const (
	strayLightness = 0.3
	strayDensity   = 0.006
)

func strayOf(t *measure.Table) float64 {
	if t.Unit == measure.InDensity {
		return strayDensity
	}
	return strayLightness
}

// scanDoubtOf is what the tones of a scanned table have in common, in its unit, as a
// standard uncertainty; 0 unless it was scanned. It is more than scanDoubt, because
// the tones of a colour and of its step of the tablet lie in different places (half
// of what they may stray: a working value of ours).
func scanDoubtOf(t *measure.Table) float64 {
	if !slices.ContainsFunc(t.Readings, func(r measure.Reading) bool { return r.Count >= scanPixels }) {
		return 0
	}
	return strayOf(t) / 2
}

// setUsual gives each group of readings the median of their own uncertainties.
func (f *colourFit) setUsual() {
	all := slices.Clone(f.estimate.fit.obs)
	for _, r := range f.readings {
		all = append(all, r.observation)
	}
	f.firstNoise.setUsual(all)
}

// group returns the noise of a kind of readings: that which the tablets showed,
// or the usual.
func (f *colourFit) group(key groupKey) int {
	g, ok := f.groups[key]
	if !ok {
		g = len(f.firstNoise)
		f.groups[key] = g
		f.strays = append(f.strays, 0)
		f.firstNoise = append(f.firstNoise, usualNoise(key))
	}
	return g
}

// setReach finds the UV densities that the sheets reach between them: those whose
// exposure lies within what tablets and clear film span.
func (f *colourFit) setReach() {
	ev := f.estimate.fit.curves()
	low, high := f.estimate.span(ev)
	f.low, f.high = math.Inf(1), math.Inf(-1)
	for k := range f.sheets {
		c := ev.sheetCurve(k)
		f.low = math.Min(f.low, c.stopping(float64(high)))
		f.high = math.Max(f.high, c.stopping(float64(low)))
	}
	f.low = math.Max(f.low, 0)
}

// The grid of UV densities on which colours are first matched goes a little
// beyond the reach, so that what lies beyond shows.
const (
	matchStep   = 0.02
	matchBeyond = 0.3
)

// toneTable is what a sheet prints at the grid's UV densities in a unit, with
// the curve's own doubt.
type toneTable struct{ tone, sd []float64 }

func (f *colourFit) matchGrid() []float64 {
	n := int(math.Ceil((f.high-f.low+2*matchBeyond)/matchStep)) + 1
	out := make([]float64, n)
	for i := range out {
		out[i] = f.low - matchBeyond + float64(matchStep*float64(i))
	}
	return out
}

func (f *colourFit) toneTable(v *view, sheet int, unit measure.Unit, grid []float64) toneTable {
	t := toneTable{make([]float64, len(grid)), make([]float64, len(grid))}
	fit := f.estimate.fit
	row := make([]float64, fit.size())
	for i, uv := range grid {
		o := observation{print: sheet, tablet: uv, ink: math.NaN(), unit: unit}
		t.tone[i] = v.ev.reading(&o, row)
		t.tone[i] += floats.Dot(row, v.shift)
		t.sd[i] = fit.sd(row)
	}
	return t
}

// match finds for every colour how well each UV density explains its readings, and
// hands that to use.
func (f *colourFit) match(use func(c *matched, grid, cost []float64)) {
	grid := f.matchGrid()
	type key struct {
		sheet int
		unit  measure.Unit
	}
	tables := map[key]toneTable{}
	even, v := f.evenValues(), f.view()
	for _, r := range f.readings {
		if k := (key{r.print, r.unit}); tables[k].tone == nil {
			tables[k] = f.toneTable(v, r.print, r.unit, grid)
		}
	}
	cost := make([]float64, len(grid))
	for i := range f.colours {
		c := &f.colours[i]
		clear(cost)
		for _, n := range c.readings {
			r := &f.readings[n]
			t, sd := tables[key{r.print, r.unit}], math.Hypot(f.noise.of(&r.observation), f.strays[r.group])
			for j := range grid {
				cost[j] += robustCost((even[n] - t.tone[j]) / math.Hypot(sd, t.sd[j]))
			}
		}
		use(c, grid, cost)
	}
}

// robustCost is what a distance of z standard deviations costs; its slope is z
// times robustWeight.
func robustCost(z float64) float64 {
	if z = math.Abs(z); z <= softAt {
		return z * z / 2
	}
	return softAt * softAt * (1.5 - softAt/z)
}

// boundCost is the rise of cost at a bound: 95 times in 100 the truth lies between
// the two.
const boundCost = coverage95 * coverage95 / 2

// choose takes the UV density of the least cost.
func (c *matched) choose(grid, cost []float64) { c.uv = grid[floats.MinIdx(cost)] }

// What makes a number: beyond farOffUV from it nothing explains the readings, to
// three standard deviations. Paper white is within noise of much that is a little
// darker, and the slope there does not tell how soon the curve runs flat.
const (
	farOffUV   = 3 * mostDoubt
	closedCost = 4.5
)

// bound sets the outermost UV densities that cost little more than the best, NaN
// where the grid ends before, and whether those far from the colour's are out.
func (c *matched) bound(grid, cost []float64) {
	best := floats.Min(cost)
	c.closed = true
	for j, v := range cost {
		if grid[j] >= 0 && math.Abs(grid[j]-c.uv) >= farOffUV && v < best+closedCost {
			c.closed = false
		}
	}
	first, last := 0, len(grid)-1
	for cost[first] > best+boundCost {
		first++
	}
	for cost[last] > best+boundCost {
		last--
	}
	c.bounds = [2]float64{math.NaN(), math.NaN()}
	if first > 0 {
		c.bounds[0] = between(grid, cost, first, first-1, best+boundCost)
	}
	if last < len(grid)-1 {
		c.bounds[1] = between(grid, cost, last, last+1, best+boundCost)
	}
}

// between is where the cost crosses a level from node a to its neighbour b.
func between(grid, cost []float64, a, b int, level float64) float64 {
	t := (level - cost[a]) / (cost[b] - cost[a])
	return grid[a] + t*(grid[b]-grid[a])
}
