package printer

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// belief is a normal distribution of a UV density.
type belief struct{ mean, variance float64 }

// with returns the belief after a further reading of known precision.
func (b belief) with(value, precision float64) belief {
	v := b.variance / (1 + b.variance*precision)
	return belief{b.mean + v*precision*(value-b.mean), v}
}

// byTheRest returns what all other colours tell of each colour's UV density, its
// own part in the doubt, as its readings would see it: by leaving one out of the
// linear problem in closed form (Rasmussen & Williams eq. 5.12 says the same in
// other letters).
func (d *design) byTheRest(s *solution) []belief {
	n, terms := len(d.uv), d.sums.count
	x := mat.NewDense(n, d.unknown, nil)
	out := make([]belief, n)
	for i, c := range d.sums.colours {
		row := x.RawRowView(i)
		copy(row, c.terms)
		copy(row[terms:], d.rows.RawRowView(i))
		out[i].mean = d.uv[i] + blas64.Dot(vector(row[terms:]), vector(s.mean[terms:]))
	}
	blas64.Trsm(blas.Right, blas.NoTrans, 1, s.factor(), x.RawMatrix())
	for i, c := range d.sums.colours {
		row := vector(x.RawRowView(i))
		v, pull := blas64.Dot(row, row), d.pull(i)
		left := math.Max(1-v*pull, 1e-6)
		off := c.mean - offset(c.terms, d.coefficients(s)) - out[i].mean
		out[i].mean -= v * pull / left * off
		out[i].variance = v/left + d.own[i]
	}
	return out
}

func vector(v []float64) blas64.Vector { return blas64.Vector{N: len(v), Inc: 1, Data: v} }

// judge holds each reading against what all others tell of it: outliers lose
// trust, and bounds become numbers that say as much.
func (d *design) judge(s *solution) {
	coefficients := d.coefficients(s)
	for i, rest := range d.byTheRest(s) {
		if d.clear[i] {
			rest = belief{} // known to be 0
		}
		d.sums.colours[i].judge(rest, coefficients)
	}
	d.sums.sumUp()
}

// judge holds the readings of one colour against what other colours and each
// other tell.
func (c *colourSum) judge(rest belief, coefficients []float64) {
	type share struct{ precision, pull float64 }
	var all share
	own := make([]share, len(c.readings))
	for k, r := range c.readings {
		r.shift = offset(r.Terms, coefficients)
		own[k] = share{r.weight(), r.weight() * (r.value - r.shift)}
		all.precision += own[k].precision
		all.pull += own[k].pull
	}
	for k, r := range c.readings {
		others := rest
		if left := all.precision - own[k].precision; left > 1e-9*all.precision {
			others = rest.with((all.pull-own[k].pull)/left, left)
		}
		if r.known() {
			r.retrust(others, r.value-r.shift)
		} else {
			r.bind(others, r.shift)
		}
	}
}

// trusted is how many times its doubt a reading may be off before it loses
// weight; as in the fits of calibration.
const trusted = 3

// retrust lowers the trust of a reading that is far from what the others tell:
// beyond trusted times the doubt its pull falls with its distance.
func (r *reading) retrust(others belief, value float64) {
	t := math.Abs(value-others.mean) / math.Sqrt(others.variance+1/r.precision)
	r.trust = 1
	if t > trusted {
		r.trust = trusted * trusted / (t * t)
	}
}

// leastInformation is the precision, as a share of what the others tell, below
// which a bound says nothing.
const leastInformation = 1e-6

// bind makes of a bound the number and precision that change what the others
// tell as the bound does: the belief is cut off softly, and its mean and variance
// are kept (T. Minka 2001; Rasmussen & Williams section 3.6, eq. 3.58). Where the
// others keep the bound anyway, it says next to nothing.
func (r *reading) bind(others belief, shift float64) {
	sign, bound := 1.0, r.AtLeast
	if math.IsNaN(bound) {
		sign, bound = -1, r.AtMost
	}
	spread := math.Hypot(math.Sqrt(others.variance), r.sharpness())
	z := sign * (others.mean + shift - bound) / spread
	hazard := hazardBelow(z)
	after := belief{mean: others.mean + sign*others.variance*hazard/spread}
	share := others.variance / (spread * spread) * hazard * (z + hazard)
	after.variance = others.variance * (1 - share)
	if !(share > leastInformation) || !(others.variance > 0) {
		r.value, r.precision = 0, 0
		return
	}
	r.precision = 1/after.variance - 1/others.variance
	r.value = (after.mean/after.variance-others.mean/others.variance)/r.precision + shift
}

// sharpness is the standard deviation of a bound.
func (r *reading) sharpness() float64 {
	if r.SD > 0 {
		return math.Max(r.SD, finestSD)
	}
	return boundSD
}

// hazardBelow returns the normal density over the normal distribution at z.
func hazardBelow(z float64) float64 {
	if z < -30 { // Mills' ratio inverted, in falling powers of z
		y := 1 / (z * z)
		return -z * (1 + y*(1-y*(2-10*y)))
	}
	return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / (math.Erfc(-z/math.Sqrt2) / 2)
}
