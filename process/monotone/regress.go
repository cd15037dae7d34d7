package monotone

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Options steer Regress. A nil *Options, and any zero field, means the default.
type Options struct {
	Direction Direction
	Segments  int     // of the spline; default one less than the distinct x, 10 to 40
	LeastDOF  float64 // effective degrees of freedom that any smoothing leaves at least; default 7
}

// Regression is a smooth, strictly monotone curve fitted to readings, and how
// sure it is.
type Regression struct {
	Noise        float64 // standard deviation of a reading of weight 1
	EffectiveDOF float64 // averaged over the smoothings

	basis  basis
	middle float64   // of the readings; the splines fit what is left
	sign   float64   // 1 for a rising curve
	coef   []float64 // rising
	cov    *mat.SymDense
}

// ErrTooFewReadings says that there is no telling curve from noise.
var ErrTooFewReadings = errors.New("a smooth curve needs at least 6 readings at 4 different places")

// ErrUnfixed says that arithmetic cannot tell what curve the readings mean.
var ErrUnfixed = errors.New("the readings do not fix a curve: their weights or the gaps between them differ by too much")

// ErrLevel says that all readings are the same, so that no curve strictly rises.
var ErrLevel = errors.New("all readings are the same: there is no curve to fit")

// Regress returns the monotone smooth curve through readings y at x, in any
// order, repeats welcome. weights are inverse variances up to a common factor,
// nil for equal ones; the noise itself is found from the readings.
//
// The curve is a penalised B-spline (Eilers & Marx 1996). How smooth it is, the
// data choose: fits over a range of smoothings are averaged, each weighed by
// its marginal likelihood, none stiffer than Options.LeastDOF; so the doubt
// about the smoothing is part of the uncertainty. Each fit is monotone
// (Bollaerts, Eilers & van Mechelen 2006), hence the average. With fewer than
// 12 places the least is 0.6 of their number instead.
//
// It fails with *PointError for a reading or weight that is not usable,
// ErrTooFewReadings, ErrLevel or ErrUnfixed.
func Regress(x, y, weights []float64, o *Options) (*Regression, error) {
	opt, places, err := prepare(x, y, weights, o)
	if err != nil {
		return nil, err
	}
	f := newFit(x, y, weights, opt)
	m, ok := newModes(f.spline)
	if !ok {
		return nil, ErrUnfixed
	}
	return f.average(m, smoothings(m, opt.LeastDOF, places))
}

// prepare checks the readings, fills in the options and counts the distinct x.
func prepare(x, y, weights []float64, o *Options) (opt Options, places int, err error) {
	if o != nil {
		opt = *o
	}
	if len(x) != len(y) {
		return opt, 0, fmt.Errorf("%d x for %d readings", len(x), len(y))
	}
	if err := checkWeighted(x, nil); err != nil {
		return opt, 0, err
	}
	if err := checkWeighted(y, weights); err != nil {
		return opt, 0, err
	}
	if places = distinct(x); len(x) < 6 || places < 4 {
		return opt, 0, ErrTooFewReadings
	}
	if distinct(y) < 2 {
		return opt, 0, ErrLevel
	}
	if opt.Segments <= 0 {
		opt.Segments = min(max(places-1, 10), 40)
	}
	if opt.LeastDOF <= 0 {
		opt.LeastDOF = 7
	}
	return opt, places, nil
}

// distinct returns how many different values v holds.
func distinct(v []float64) int {
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	n := 0
	for i := range s {
		if i == 0 || s[i] != s[i-1] {
			n++
		}
	}
	return n
}

// gridSize is the number of smoothings averaged; more change nothing that shows.
const gridSize = 25

// smoothings returns lambdas, evenly spaced in their logarithm, from the
// stiffest allowed to one that leaves so many degrees of freedom, as a share of
// the places, that there is still telling noise: repeats tell it by themselves.
func smoothings(m *modes, leastDOF float64, places int) []float64 {
	repeats := math.Min(float64(m.n)/float64(places)-1, 1)
	least := math.Min(leastDOF, 0.6*float64(places))
	most := math.Max((0.75+0.2*repeats)*float64(places), 1.2*least)
	high, low := math.Log(m.lambdaFor(least)), math.Log(m.lambdaFor(most))
	grid := make([]float64, gridSize)
	for i := range grid {
		grid[i] = math.Exp(high + (low-high)*float64(i)/(gridSize-1))
	}
	return grid
}

// Domain returns the smallest and the largest x of the readings.
func (r *Regression) Domain() (low, high float64) { return r.basis.low, r.basis.high }

// Value returns the curve at x. It fails with *RangeError outside the domain.
func (r *Regression) Value(x float64) (float64, error) {
	if err := r.check(x); err != nil {
		return math.NaN(), err
	}
	first, w := r.basis.at(x)
	return r.middle + r.sign*sum(r.coef, first, w), nil
}

// Slope returns the derivative of the curve at x, never zero. It fails with
// *RangeError outside the domain.
func (r *Regression) Slope(x float64) (float64, error) {
	if err := r.check(x); err != nil {
		return math.NaN(), err
	}
	first, w := r.basis.slopeAt(x)
	return r.sign * sum(r.coef, first, w), nil
}

// SD returns the standard uncertainty of the curve (not of a reading) at x:
// within each smoothing and between them. It fails with *RangeError outside
// the domain.
func (r *Regression) SD(x float64) (float64, error) {
	if err := r.check(x); err != nil {
		return math.NaN(), err
	}
	return math.Sqrt(r.covariance(x, x)), nil
}

// Covariance returns the covariance of the curve's uncertainty at a and b. It
// fails with *RangeError outside the domain.
func (r *Regression) Covariance(a, b float64) (float64, error) {
	for _, x := range []float64{a, b} {
		if err := r.check(x); err != nil {
			return math.NaN(), err
		}
	}
	return r.covariance(a, b), nil
}

func (r *Regression) covariance(a, b float64) float64 {
	i, v := r.basis.at(a)
	j, w := r.basis.at(b)
	s := 0.0
	for k := range v {
		for l := range w {
			s += v[k] * w[l] * r.cov.At(i+k, j+l)
		}
	}
	return s
}

func (r *Regression) check(x float64) error {
	if low, high := r.Domain(); !(x >= low && x <= high) {
		return &RangeError{Value: x, Low: low, High: high}
	}
	return nil
}
