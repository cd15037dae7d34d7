package monotone

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// fit is a regression under way: the readings turned to rise, about zero.
type fit struct {
	spline *pspline
	middle float64
	sign   float64
	span   float64 // of the readings
}

// newFit returns the spline problem of the readings. Taking off their middle
// saves digits in sums of squares; it changes no fit, because the penalty does
// not see a constant.
func newFit(x, y, weights []float64, o Options) *fit {
	f := &fit{sign: o.Direction.sign(), span: floats.Max(y) - floats.Min(y)}
	f.middle = floats.Min(y) + f.span/2
	risen := make([]float64, len(y))
	for i, v := range y {
		risen[i] = f.sign * (v - f.middle)
	}
	b := basis{low: floats.Min(x), high: floats.Max(x), segments: o.Segments}
	f.spline = newPspline(b, x, risen, weights)
	return f
}

// average fits at each of the smoothings and returns the mean over their
// posterior, with a prior flat in log lambda.
func (f *fit) average(m *modes, lambdas []float64) (*Regression, error) {
	weight, rss := posterior(m, lambdas)
	if floats.HasNaN(weight) {
		return nil, ErrUnfixed
	}
	r := &Regression{basis: f.spline.basis, middle: f.middle, sign: f.sign}
	fits := make([][]float64, len(lambdas))
	held := make([]bool, f.spline.basis.size()-1)
	r.coef = make([]float64, f.spline.basis.size())
	inner := make([]float64, len(m.tau)) // variance of each mode
	for k, lambda := range lambdas {
		if weight[k] == 0 {
			continue
		}
		var ok bool
		if fits[k], ok = f.at(lambda, held); !ok {
			return nil, ErrUnfixed
		}
		floats.AddScaled(r.coef, weight[k], fits[k])
		r.Noise += weight[k] * rss[k] / float64(m.n-2)
		r.EffectiveDOF += weight[k] * m.effectiveDOF(lambda)
		for i := range inner { // the mean of the variance's posterior, an inverse gamma
			inner[i] += weight[k] * rss[k] / float64(m.n-4) / m.stiffness(i, lambda)
		}
	}
	r.Noise = math.Sqrt(r.Noise)
	r.cov = mixture(m, inner, fits, weight, r.coef)
	// Weights and magnitudes near the limits of the machine overflow on the way.
	if all := mat.Sum(r.cov) + floats.Sum(r.coef) + r.Noise; math.IsNaN(all) || math.IsInf(all, 0) {
		return nil, ErrUnfixed
	}
	return r, nil
}

// posterior returns the probability of each smoothing, zero where it is too
// small to matter, and the penalised residual sums of squares.
func posterior(m *modes, lambdas []float64) (weight, rss []float64) {
	weight, rss = make([]float64, len(lambdas)), make([]float64, len(lambdas))
	for k, lambda := range lambdas {
		weight[k], rss[k] = m.evidence(lambda)
	}
	best := floats.Max(weight)
	for k, w := range weight {
		if weight[k] = math.Exp(w - best); weight[k] < 1e-4 {
			weight[k] = 0
		}
	}
	floats.Scale(1/floats.Sum(weight), weight)
	return weight, rss
}

// at returns the strictly rising coefficients at one smoothing. held carries
// the differences that had to be held from one smoothing to the next.
func (f *fit) at(lambda float64, held []bool) (coef []float64, ok bool) {
	coef, ok = f.spline.rising(lambda, f.hold(), held, 30)
	if !ok {
		return nil, false
	}
	return f.strict(coef)
}

// hold returns the stiffness that keeps a difference from falling: far above
// anything the readings say.
func (f *fit) hold() float64 { return 1e6 * mat.Max(f.spline.gram) }

// strict returns coefficients near coef that strictly rise, which makes the
// spline strictly rise: its slope is a positive sum of their differences. What
// the stiffness has left of a fall is pooled, and everything gets a slope of
// at least a millionth of the readings' span over the domain.
func (f *fit) strict(coef []float64) (pooled []float64, ok bool) {
	pooled, err := Isotonic(coef, nil, Increasing)
	if err != nil {
		return nil, false
	}
	last := float64(len(pooled) - 1)
	for i := range pooled {
		pooled[i] += 1e-6 * f.span * (float64(i)/last - 0.5)
	}
	return pooled, true
}

// mixture returns the covariance of the coefficients: the mean of that within
// the fits, given per mode, and that between them.
func mixture(m *modes, inner []float64, fits [][]float64, weight, mean []float64) *mat.SymDense {
	size := len(mean)
	cov := mat.NewSymDense(size, nil)
	column := mat.NewVecDense(size, nil)
	for i, v := range inner {
		column.CopyVec(m.shape.ColView(i))
		cov.SymRankOne(cov, v, column)
	}
	for k, coef := range fits {
		if weight[k] > 0 {
			for i := range mean {
				column.SetVec(i, coef[i]-mean[i])
			}
			cov.SymRankOne(cov, weight[k], column)
		}
	}
	return cov
}
