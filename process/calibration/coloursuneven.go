package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/measure"
	"actinic/process/printer"
)

// Most colours of a chart are printed once, so that repeats alone do not tell
// unevenness from ink. The printer's model does: neighbouring colours stop about as
// much, wherever they lie on the sheet, and on whichever page. It is fitted to all
// readings, with the surfaces, and the deviations of pages without a tablet, as
// further unknowns of each. It has no say about the characteristic curve, which it
// could bend to its own taste.

// findSheets finds which sheets say where their patches lie, and which have no
// tablet, and gives readings their terms.
func (f *colourFit) findSheets() {
	prints := make([]Print, len(f.sheets))
	for k, s := range f.sheets {
		byDarkness := *s.colours // order is told by what the patches stop
		byDarkness.Readings = slices.Clone(s.colours.Readings)
		prints[k] = Print{Ramp: &byDarkness, Tablet: s.tablet}
	}
	for i := range f.readings {
		r := &f.readings[i]
		prints[r.print].Ramp.Readings[r.index].Ink = f.colours[r.colour].uv
	}
	f.uneven = newSurfaces(prints, f.options.KeepUnevenness)
	for i := range f.readings {
		r := &f.readings[i]
		r.terms = f.termsOf(r.print, r.table.Readings[r.index])
	}
	f.shared = append(f.shared, make([]float64, f.uneven.size())...)
	f.setGain()
}

// termsOf returns the surfaces' terms at the place of a reading; nil where that is
// not known.
func (f *colourFit) termsOf(sheet int, r measure.Reading) []float64 {
	if s := f.uneven.sheets[sheet]; s != nil && placed(r) {
		return s.terms(r.XMM, r.YMM)
	}
	return nil
}

// needsModel says whether repeats do not tell all that readings share: on uneven
// sheets, and on pages without a tablet.
func (f *colourFit) needsModel() bool { return f.uneven.count > 0 || len(f.loose) > 0 }

// priorSD returns the standard deviation of each coefficient beyond the curve's
// before any reading.
func (f *colourFit) priorSD() []float64 {
	var out []float64
	for range f.loose {
		out = append(out, deviationPriors[:]...)
		out[len(out)-2] = pageExposureSD
	}
	if f.uneven.count > 0 {
		b := sizes{lamp: unevenLamp, own: unevenLamp, coating: unevenCoating}
		if f.uneven.shared() {
			b.own *= colourOwnShare
		}
		precision, _ := f.uneven.precision(b)
		for _, p := range precision {
			out = append(out, 1/math.Sqrt(p))
		}
	}
	return out
}

// pageExposureSD is how much the exposures of the pages of one chart differ, log10:
// they were meant to be alike (a working value of ours).
const pageExposureSD = 0.05

// colourOwnShare is the share of the lamp's unevenness that does not repeat, larger
// than for ramps, because no belief in changed light stands beside it.
const colourOwnShare = 0.5

// evened returns a table of tablet steps as an even sheet would read.
func (f *colourFit) evened(sheet int, t *measure.Table, cutOut bool) *measure.Table {
	if f.uneven.count == 0 || f.uneven.sheets[sheet] == nil {
		return t
	}
	s, c := f.surfacesAt(), f.view().curves[sheet]
	out := *t
	out.Readings = slices.Clone(t.Readings)
	for i := range out.Readings {
		r := &out.Readings[i]
		terms := f.termsOf(sheet, *r)
		there := c.placed(f.uneven.exposure(s, sheet, terms), f.uneven.coating(s, sheet, terms))
		uv := float64(r.Tablet) - f.base(cutOut)
		uneven, _ := there.tone(uv, r.Unit)
		even, _ := c.tone(uv, r.Unit)
		r.Value -= uneven - even
	}
	return &out
}

// base is the film's density that a tablet in a cut-out does not lie on.
func (f *colourFit) base(cutOut bool) float64 {
	if cutOut {
		return f.estimate.fit.mean[atBase]
	}
	return 0
}

// evenValues returns the readings as even sheets would read.
func (f *colourFit) evenValues() []float64 {
	out := make([]float64, len(f.readings))
	v := f.view()
	for i := range f.readings {
		r := &f.readings[i]
		out[i] = r.value
		if r.terms != nil {
			uneven, _ := f.placed(v.curves[r.print], r).tone(f.colours[r.colour].uv, r.unit)
			even, _ := v.curves[r.print].tone(f.colours[r.colour].uv, r.unit)
			out[i] -= uneven - even
		}
	}
	return out
}

// mostModelled is how many colours the surfaces are found from: more tell hardly
// more, and cost the cube of their number.
const mostModelled = 500

// solveByModel solves for the coefficients beyond the curve's together with the
// printer's model, which takes them whitened. With too few colours for one they
// stay as they are before, tablets alone heard.
func (f *colourFit) solveByModel() {
	mean, covariance := f.beforeColours()
	k, root := f.curves(), rootOf(covariance)
	n := len(mean)
	sd := make([]float64, n)
	for i := range sd {
		sd[i] = 1
	}
	m, err := printer.Fit(f.modelPoints(mean, root), &printer.Options{TermSD: sd})
	if err != nil {
		f.beyond = covariance
		copy(f.shared[k:], mean)
		return
	}
	white, cov := m.Terms()
	var shift mat.VecDense
	shift.MulVec(root, mat.NewVecDense(n, white))
	floats.AddTo(f.shared[k:], mean, shift.RawVector().Data)
	f.beyond = quadratic(root, cov)
}

// quadratic returns root x cov x rootᵀ.
func quadratic(root *mat.Dense, cov *mat.SymDense) *mat.SymDense {
	var half, full mat.Dense
	half.Mul(root, cov)
	full.Mul(&half, root.T())
	n, _ := full.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	return out
}

// beforeColours returns what is believed of the coefficients beyond the curve's
// before any colour: their priors, and the tablets' scatter.
func (f *colourFit) beforeColours() (mean []float64, covariance *mat.SymDense) {
	sd := f.priorSD()
	n := len(sd)
	info, rhs := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, v := range sd {
		info.SetSym(i, i, 1/(v*v))
	}
	if f.byTablets != nil {
		at := n - f.uneven.size()
		for i := at; i < n; i++ {
			rhs.SetVec(i, f.byTablets.rhs.AtVec(i-at))
			for j := i; j < n; j++ {
				info.SetSym(i, j, info.At(i, j)+f.byTablets.info.At(i-at, j-at))
			}
		}
	}
	var chol mat.Cholesky
	covariance = mat.NewSymDense(n, nil)
	var m mat.VecDense
	if !chol.Factorize(info) || chol.InverseTo(covariance) != nil || chol.SolveVecTo(&m, rhs) != nil {
		for i, v := range sd { // rounding: the tablets are not heard
			covariance.SetSym(i, i, v*v)
		}
		return make([]float64, n), covariance
	}
	return m.RawVector().Data, covariance
}

// Which readings tell of the surfaces: those that tell UV density, to
// mostPointDoubt; and where another print tells it, those in black and in white
// too, up to flattest, because there the coating shows best. Otherwise where the
// print runs flat the match lies too far off for a linear view.
const (
	mostPointDoubt = 0.15
	flattest       = 1.0
	farthestPoint  = 10.0 // UV density that the linear view of a flat reading may come to
)

func (f *colourFit) tellsPlace(r *colourReading, sd float64) bool {
	return sd <= mostPointDoubt || sd <= flattest && f.colours[r.colour].doubt() <= mostDoubt/2
}

// curveDoubt is the doubt that the curve leaves in what a reading should be, in
// terms of its noise.
func (f *colourFit) curveDoubt(r *colourReading) float64 {
	k := f.curves()
	v := mat.NewVecDense(k, r.by[:k])
	return math.Sqrt(math.Max(0, mat.Inner(v, f.covar.SliceSym(0, k), v)))
}

// modelPoints are the readings as the printer's model takes them, with the
// coefficients as mean + root x white ones.
func (f *colourFit) modelPoints(mean []float64, root *mat.Dense) []printer.Point {
	var out []printer.Point
	every := (len(f.colours) + mostModelled - 1) / mostModelled
	nan, off := math.NaN(), slices.Clone(f.sharedAt[f.curves():])
	floats.Sub(off, mean)
	for i := range f.readings {
		r := &f.readings[i]
		sd := math.Hypot(1, f.curveDoubt(r)) / math.Abs(r.byUV)
		if r.colour%every != 0 || !f.tellsPlace(r, sd) {
			continue
		}
		uv := f.colours[r.colour].uv + (r.distance+floats.Dot(r.direct, off))/r.byUV
		if math.Abs(uv) > farthestPoint {
			continue
		}
		var terms mat.VecDense
		terms.MulVec(root.T(), mat.NewVecDense(len(mean), r.direct))
		terms.ScaleVec(1/r.byUV, &terms)
		out = append(out, printer.Point{RGB: f.colours[r.colour].rgb, UVDensity: uv, SD: sd, AtLeast: nan, AtMost: nan, Terms: terms.RawVector().Data})
	}
	return out
}

// unevenness returns what was found of the sheets, nil when none says where its
// patches lie.
func (f *colourFit) unevenness() *Unevenness {
	size := f.uneven.size()
	if size == 0 {
		return nil
	}
	m := &model{prints: 1, uneven: f.uneven}
	at := m.core()
	b := belief{mean: make([]float64, at+size), covariance: mat.NewSymDense(at+size, nil)}
	copy(b.mean[at:], f.surfacesAt())
	from := len(f.shared) - size
	for i := range size {
		for j := i; j < size; j++ {
			b.covariance.SetSym(at+i, at+j, f.covar.At(from+i, from+j))
		}
	}
	e := &Estimate{fit: &fitted{model: m, belief: b}}
	for _, s := range f.sheets {
		e.prints = append(e.prints, Print{Ramp: s.colours, number: s.print + 1})
	}
	u := e.Unevenness()
	for i := range u.Prints {
		if p := &u.Prints[i]; math.IsNaN(p.Order) {
			p.Order = 0
		}
	}
	return u
}
