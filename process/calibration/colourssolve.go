package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Rounds of a fit of colours: linearise, solve for what readings share, move the
// colours, weigh the readings. Few are needed, because the match on the grid lies
// near. Uneven sheets take rounds of their own, each with the tablets fitted anew.
const (
	colourRounds = 3
	unevenRounds = 2
	restSteps    = 3
)

// solve matches the colours and settles them together.
func (f *colourFit) solve() error {
	f.start()
	f.settle(colourRounds)
	if f.findSheets(); f.needsModel() {
		for range unevenRounds {
			f.linearise()
			f.solveByModel()
			if err := f.fitTablets(); err != nil {
				return err
			}
			f.start()
			f.settle(colourRounds)
		}
	}
	f.judge()
	return nil
}

// start takes the curve from the tablets, and its doubt apart.
func (f *colourFit) start() {
	f.setReach()
	f.setModes()
	f.setGain()
}

// settle settles the colours and what repeats tell of the curve. Noise is estimated
// once both are near rest, and weights after it: a print whose exposure is not yet
// known is no outlier.
func (f *colourFit) settle(rounds int) {
	for i := range f.readings {
		f.readings[i].weight = 1
	}
	f.noise = slices.Clone(f.firstNoise)
	f.match((*matched).choose)
	for range rounds {
		f.rest()
		f.estimateNoise()
		f.reweigh()
	}
	f.rest()
}

// rest brings colours and curve to rest for the readings' present weights.
func (f *colourFit) rest() {
	for range restSteps {
		f.linearise()
		f.solveShared()
		f.move()
	}
}

// curves is the number of coefficients of the curve; those of loose sheets, and
// then of the surfaces, follow.
func (f *colourFit) curves() int {
	_, k := f.modes.Dims()
	return k
}

// beyondCurve returns the coefficients that are not the curve's; all 0 before any
// round.
func (f *colourFit) beyondCurve() []float64 {
	n := f.uneven.size() + deviations*len(f.loose)
	if len(f.shared) < n {
		return make([]float64, n)
	}
	return slices.Clone(f.shared[len(f.shared)-n:])
}

// surfacesAt returns the surfaces' coefficients.
func (f *colourFit) surfacesAt() []float64 {
	return slices.Clone(f.shared[len(f.shared)-f.uneven.size():])
}

// linearise sets every reading's distance and derivatives about its colour's UV
// density and the coefficients.
func (f *colourFit) linearise() {
	f.sharedAt = slices.Clone(f.shared)
	v := f.view()
	for i := range f.readings {
		r := &f.readings[i]
		uv := f.colours[r.colour].uv
		tone, slope := v.tone(r, uv)
		w := math.Sqrt(r.weight) / f.noise.of(&r.observation)
		r.distance, r.byUV, r.byTone = w*(r.value-tone), w*slope, w*f.sheets[r.print].scanDoubt
		f.differentiate(f.placed(v.curves[r.print], r), r, uv, w, v.row)
	}
	f.gather()
}

// differentiate turns a reading's derivatives by the curve's parameters into those
// by the coefficients. A surface acts on the reading and, through the tablets, on
// the curve.
func (f *colourFit) differentiate(c sheetCurve, r *colourReading, uv, weight float64, row []float64) {
	k, size := f.curves(), f.uneven.size()
	r.by = make([]float64, len(f.shared))
	v := mat.NewVecDense(len(row), row)
	mat.NewVecDense(k, r.by[:k]).MulVec(f.modes.T(), v)
	if i := slices.Index(f.loose, r.print); i >= 0 {
		copy(r.by[k+deviations*i:], row[f.estimate.fit.deviation(r.print):][:deviations])
	}
	byLight, byCoating := c.byPlace(uv, r.unit)
	f.uneven.derive(r.by[len(r.by)-size:], r.print, r.terms, byLight, byCoating)
	floats.Scale(weight, r.by)
	r.direct = slices.Clone(r.by[k:])
	if f.gain != nil {
		var through mat.VecDense
		through.MulVec(f.gain.T(), v)
		floats.AddScaled(r.by[len(r.by)-size:], -weight, through.RawVector().Data)
	}
}

// gather sums up each colour's readings.
func (f *colourFit) gather() {
	for i := range f.colours {
		c := &f.colours[i]
		c.info, c.byTone, c.by = 0, 0, make([]float64, len(f.shared))
		for _, n := range c.readings {
			r := &f.readings[n]
			c.info += r.byUV * r.byUV
			c.byTone += r.byUV * r.byTone
			floats.AddScaled(c.by, r.byUV, r.by)
		}
		if c.info > 0 {
			floats.Scale(-1/c.info, c.by)
			c.byTone /= c.info
		}
	}
}

// solveShared solves for the curve's coefficients with every colour's UV density
// free: what the sheets' readings of the same colours, and repeats, tell of the
// curve. The other coefficients stay.
func (f *colourFit) solveShared() {
	k := f.curves()
	info, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	for i := range k {
		info.SetSym(i, i, 1)
	}
	for i := range f.colours {
		f.colours[i].addShared(f, info, rhs)
	}
	var chol mat.Cholesky
	var z mat.VecDense
	covar := mat.NewSymDense(k, nil)
	if !chol.Factorize(info) || chol.InverseTo(covar) != nil || chol.SolveVecTo(&z, rhs) != nil {
		panic("calibration: a prior does not make its posterior definite")
	}
	f.step(z.RawVector().Data)
	f.covar = mat.NewSymDense(len(f.shared), nil)
	copyBlock(f.covar, covar, 0)
	if f.beyond != nil {
		copyBlock(f.covar, f.beyond, k)
	}
}

// mostStep bounds a step of the curve's coefficients, in standard deviations: the
// curve is no linear function of them.
const mostStep = 1.5

// step moves the curve's coefficients towards others, all alike, as far as is safe.
func (f *colourFit) step(to []float64) {
	far := 0.0
	for i, v := range to {
		far = math.Max(far, math.Abs(v-f.shared[i]))
	}
	by := math.Min(1, mostStep/math.Max(far, 1e-9))
	for i, v := range to {
		f.shared[i] += by * (v - f.shared[i])
	}
}

// addShared adds what the colour's readings tell of the curve's coefficients when
// its UV density is not known: their scatter about their common mean.
func (c *matched) addShared(f *colourFit, info *mat.SymDense, rhs *mat.VecDense) {
	if len(c.readings) < 2 || c.info <= 0 {
		return
	}
	k, pull := f.curves(), 0.0
	for _, n := range c.readings {
		r := &f.readings[n]
		target := r.distance + floats.Dot(r.by[:k], f.sharedAt[:k])
		v := mat.NewVecDense(k, r.by[:k])
		info.SymRankOne(info, 1, v)
		rhs.AddScaledVec(rhs, target, v)
		pull += r.byUV * target
	}
	v := mat.NewVecDense(k, c.by[:k])
	info.SymRankOne(info, -c.info, v)
	rhs.AddScaledVec(rhs, pull, v)
}

// mostMove bounds a step of UV density: the curve is bent.
const mostMove = 0.2

// move sets each colour's UV density to the weighted mean of its readings, given
// the coefficients.
func (f *colourFit) move() {
	change := slices.Clone(f.shared)
	floats.Sub(change, f.sharedAt)
	for i := range f.colours {
		c := &f.colours[i]
		if c.doubt() > flatDoubt {
			continue
		}
		pull := 0.0
		for _, n := range c.readings {
			r := &f.readings[n]
			pull += r.byUV * (r.distance - floats.Dot(r.by, change))
		}
		c.uv += math.Max(-mostMove, math.Min(mostMove, pull/c.info))
		c.uv = math.Max(f.low-matchBeyond, math.Min(f.high+matchBeyond, c.uv))
	}
}

// doubt is the colour's own standard uncertainty.
func (c *matched) doubt() float64 {
	if c.info <= 0 {
		return math.Inf(1)
	}
	return 1 / math.Sqrt(c.info)
}
