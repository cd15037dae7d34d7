package calibration

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// Doubt is what the readings leave open of the print tones, for choosing the
// patches of a further chart. Its columns have a value for each of the ink's
// percents. The tones are those of the first print, with its own paper, black,
// exposure and contrast: what a further print tells of these is not how that one
// differs itself. The doubt of the curve, of several prints, is that of their
// mean, and holds how well they are told apart as well.
type Doubt struct {
	DoubtColumns
	// Common is what all tones have in common and no further patch takes away, L*.
	Common float64     `json:"common_lstar"`
	Read   []LevelRead `json:"levels_read"`
	// Tablet is the same of the steps of the last print's tablet, which will lie on
	// a further print again; null without one.
	Tablet *TabletDoubt `json:"tablet"`
}

// DoubtColumns are in L*.
type DoubtColumns struct {
	// Factors hold the covariance of the print tones: that of any two is the sum of
	// the products of the factors there, over the tablet's steps as well.
	Factors [][]float64 `json:"factors_lstar"`
	// Further is how a further print may differ by itself, one standard
	// deviation each: in paper, in black, in exposure, in contrast.
	Further [][]float64 `json:"further_print_lstar"`
	// Noise is that of one more reading.
	Noise []float64 `json:"noise_lstar"`
}

// TabletDoubt has a value for each step.
type TabletDoubt struct {
	Density []float64 `json:"tablet_density"`
	DoubtColumns
}

// LevelRead says how many readings there are of a level of film ink.
type LevelRead struct {
	Ink      float64 `json:"ink"` // %
	Readings int     `json:"readings"`
}

// doubtStep is what the columns are rounded to, L*: a hundredth of the least
// doubt that matters.
const doubtStep = 1e-5

// leftOut is the variance, L* squared, below which what is left of a covariance
// is not worth a factor.
const leftOut = 1e-5

// doubt gathers what the fit leaves open at film inks in per cent.
func (e *Estimate) doubt(percent []float64) *Doubt {
	places := e.lastTablet()
	steps := len(places)
	for _, ink := range percent {
		places = append(places, observation{tablet: math.NaN(), ink: ink})
	}
	all := e.columns(places)
	d := &Doubt{DoubtColumns: all.part(steps, len(places)), Common: e.commonDoubt(), Read: e.levelsRead()}
	if steps > 0 {
		d.Tablet = &TabletDoubt{DoubtColumns: all.part(0, steps)}
		for _, o := range places[:steps] {
			d.Tablet.Density = append(d.Tablet.Density, o.tablet)
		}
	}
	return d
}

// lastTablet is what was read of the step tablet on the last print that had one.
func (e *Estimate) lastTablet() []observation {
	var out []observation
	for _, o := range e.fit.obs {
		if math.IsNaN(o.tablet) {
			continue
		}
		if len(out) > 0 && o.print != out[0].print {
			out = nil
		}
		out = append(out, o)
	}
	return out
}

// columns works out the doubt of the first print at places, each a film ink or a
// step of the tablet.
func (e *Estimate) columns(places []observation) DoubtColumns {
	n := len(places)
	gradients := mat.NewDense(n, e.fit.size(), nil)
	d := DoubtColumns{Further: make([][]float64, deviations)}
	ev := e.fit.curves()
	for i, o := range places {
		o = observation{tablet: o.tablet, ink: o.ink, cutOut: o.cutOut, unit: measure.InLightness}
		l := density.Lightness(ev.reading(&o, gradients.RawRowView(i)))
		for k, v := range e.furtherAt(ev.stopped(&o)) {
			d.Further[k] = append(d.Further[k], roundTo(v, doubtStep))
		}
		d.Noise = append(d.Noise, roundTo(e.noiseAt(l, math.IsNaN(o.tablet)), doubtStep))
	}
	var half, covariance mat.Dense
	half.Mul(gradients, e.fit.covariance)
	covariance.Mul(&half, gradients.T())
	d.Factors = factorsOf(&covariance)
	return d
}

// part is the columns from one place to another.
func (d DoubtColumns) part(from, to int) DoubtColumns {
	cut := func(columns [][]float64) [][]float64 {
		out := make([][]float64, len(columns))
		for k, c := range columns {
			out[k] = c[from:to]
		}
		return out
	}
	return DoubtColumns{cut(d.Factors), cut(d.Further), d.Noise[from:to]}
}

// furtherAt is how far one standard deviation of each of a further print's own
// deviations moves the print tone under a density against the first print. Of a
// first print alone its own deviations are as unknown as the further one's; of
// several their mean is better known.
func (e *Estimate) furtherAt(stopped float64) [deviations]float64 {
	ev := e.fit.curves()
	share, byX := ev.form.Sensitivity(-stopped, ev.sForm)
	net := math.Exp(ev.p[atNet])
	slope := density.Density(ev.p[atPaper] + net*share).LightnessSlope()
	by := [deviations]float64{slope, slope * net * share, slope * net * byX, slope * net * byX * (-stopped - sensitometry.Pivot)}
	known := math.Sqrt(1 + 1/float64(e.fit.prints))
	for k, sd := range deviationPriors {
		by[k] *= known * sd
	}
	return by
}

// noiseAt is the noise of a reading of film ink, or else of the tablet, that shows
// a tone, in L*: as in the last print that has any.
func (e *Estimate) noiseAt(l density.Lightness, ink bool) float64 {
	var last observation
	for _, o := range e.fit.obs {
		if math.IsNaN(o.tablet) == ink {
			last = o
		}
	}
	group := e.fit.noise[last.group]
	sd := group.of(group.usual)
	if last.unit == measure.InDensity {
		sd *= -l.Density().LightnessSlope()
	}
	return math.Max(sd, doubtStep)
}

// levelsRead counts the readings of each level of film ink.
func (e *Estimate) levelsRead() []LevelRead {
	count := map[float64]int{}
	for _, o := range e.fit.obs {
		if !math.IsNaN(o.ink) {
			count[o.ink]++
		}
	}
	out := make([]LevelRead, 0, len(count))
	for ink, n := range count {
		out = append(out, LevelRead{ink, n})
	}
	slices.SortFunc(out, func(a, b LevelRead) int { return cmp.Compare(a.Ink, b.Ink) })
	return out
}

// factorsOf takes a covariance apart into as few factors as hold it: Cholesky
// with the largest pivot first (Higham, Analysis of the Cholesky decomposition of
// a semi-definite matrix, 1990: complete pivoting).
func factorsOf(c *mat.Dense) [][]float64 {
	n, _ := c.Dims()
	left := mat.DenseCopyOf(c)
	var out [][]float64
	for range n {
		at := 0
		for i := range n {
			if left.At(i, i) > left.At(at, at) {
				at = i
			}
		}
		pivot := left.At(at, at)
		if !(pivot > leftOut) {
			break
		}
		f := make([]float64, n)
		for i := range n {
			f[i] = left.At(i, at) / math.Sqrt(pivot)
		}
		for i := range n {
			for j := range n {
				left.Set(i, j, left.At(i, j)-float64(f[i]*f[j]))
			}
		}
		for i := range f {
			f[i] = roundTo(f[i], doubtStep)
		}
		out = append(out, f)
	}
	return out
}

func roundTo(v, step float64) float64 {
	perUnit := math.Round(1 / step)
	return math.Round(v*perUnit) / perUnit
}

// The most that a file's doubt may hold of factors and of steps; ours have some 20.
const (
	mostFactors  = 500
	mostLstar    = 1000
	mostOfALevel = 1_000_000
)

// check refuses a doubt that does not fit the ink's n percents.
func (d *Doubt) check(n int, bad func(where, what string) error) error {
	if d == nil {
		return nil
	}
	if what := d.DoubtColumns.wrong(n, len(d.Factors)); what != "" {
		return bad("field doubt", what)
	}
	if t := d.Tablet; t != nil {
		if what := t.wrong(len(t.Density), len(d.Factors)); what != "" || len(t.Density) < 1 || len(t.Density) > mostFactors {
			return bad("field doubt.tablet", cmp.Or(what, "expected 1 to 500 steps"))
		}
	}
	if !(d.Common >= 0 && d.Common <= mostLstar) {
		return bad("field doubt.common_lstar", "expected at least 0")
	}
	for i, r := range d.Read {
		rising := i == 0 || r.Ink > d.Read[i-1].Ink
		if !(r.Ink >= 0 && r.Ink <= 100) || !rising || r.Readings < 1 || r.Readings > mostOfALevel {
			return bad("field doubt.levels_read", "expected levels of 0 to 100 %, rising, each read at least once")
		}
	}
	return nil
}

// wrong says what does not fit of columns over n places; "" where all does.
func (d DoubtColumns) wrong(n, factors int) string {
	if factors > mostFactors || len(d.Factors) != factors || len(d.Further) != deviations {
		return fmt.Sprintf("expected at most %d factors, and %d ways in which a further print may differ", mostFactors, deviations)
	}
	for _, column := range slices.Concat(d.Factors, d.Further, [][]float64{d.Noise}) {
		if len(column) != n || !within(column, -mostLstar, mostLstar) {
			return fmt.Sprintf("expected %d values in each column, each within %d L*", n, mostLstar)
		}
	}
	for _, sd := range d.Noise {
		if !(sd > 0) {
			return "expected a noise above 0"
		}
	}
	return ""
}

// CheckDoubt returns nil where the calibration says what its readings leave open
// of the print tones; else a *fault.Error about the file of that name.
func (c *Calibration) CheckDoubt(name string) error {
	switch {
	case c.Doubt != nil && len(c.Doubt.Read) > 0:
		return nil
	case c.readVersion > 0 && c.readVersion < 3:
		return fault.New(name, "", "was made by an older version of the program and does not say where its doubt lies",
			"make it again from the same readings: run `actinic curve` as before")
	}
	return fault.New(name, "", "holds no print of the ink ramp on this paper: where it is in doubt is not known level by level",
		"print a first one with `actinic chart ramp --calibration` and give its readings to `actinic curve --ramp`")
}
