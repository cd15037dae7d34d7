package monotone

import (
	"fmt"
	"math"
	"sort"
)

// Curve is a monotone interpolant: a piecewise cubic Hermite polynomial with a
// continuous first derivative, that nowhere turns back between its knots and
// nowhere leaves the range of two neighbours.
//
// Slopes at the knots are weighted harmonic means of the neighbouring secants
// (F. N. Fritsch & J. Butland, SIAM J. Sci. Stat. Comput. 5(2) 300-304, 1984),
// three-point at the ends, inside the monotonicity region of F. N. Fritsch &
// R. E. Carlson, SIAM J. Numer. Anal. 17(2) 238-246, 1980.
//
// Every product is rounded before it is added, so that no processor fuses the
// two and all give the same bits. A Curve is safe for concurrent use.
type Curve struct {
	x, y, d []float64
}

// maxMagnitude is the largest number accepted: beyond it products of a few
// differences overflow.
const maxMagnitude = 1e100

// RangeError says that a value is outside what a curve covers.
type RangeError struct {
	Value, Low, High float64
}

// Error returns the value and the range.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%g is outside %g to %g", e.Value, e.Low, e.High)
}

// PointError says which point cannot be part of a curve, and why.
type PointError struct {
	Index int // of the point, from 0
	What  string
}

// Error returns the point, counted from 1, and the reason.
func (e *PointError) Error() string {
	return fmt.Sprintf("point %d of the curve %s", e.Index+1, e.What)
}

// New returns the monotone curve through the points (x[i], y[i]), at least
// two. x must rise strictly; y must never rise or never fall, and may stand
// still. Neither slice is kept or changed.
//
// It fails with *PointError for a point that is not finite, larger than 1e100
// in magnitude, out of order, closer than 1e-200 to the one before, or turns back.
func New(x, y []float64) (*Curve, error) {
	if len(x) != len(y) {
		return nil, fmt.Errorf("curve with %d x and %d y values", len(x), len(y))
	}
	if len(x) < 2 {
		return nil, fmt.Errorf("curve through %d points, at least 2 are needed", len(x))
	}
	if err := checkPoints(x, y); err != nil {
		return nil, err
	}
	return newHermite(x, y, slopes(x, y)), nil
}

// newHermite returns the curve with given slopes d at the knots.
func newHermite(x, y, d []float64) *Curve {
	return &Curve{x: append([]float64(nil), x...), y: append([]float64(nil), y...), d: d}
}

// leastStep keeps quotients of steps and slopes from underflow.
const leastStep = 1e-200

// checkPoints returns a *PointError for the first point New refuses.
func checkPoints(x, y []float64) error {
	sense := 0.0
	for i := range x {
		switch {
		case !(math.Abs(x[i]) <= maxMagnitude && math.Abs(y[i]) <= maxMagnitude):
			return &PointError{i, fmt.Sprintf("is not usable: x %g, y %g", x[i], y[i])}
		case i == 0:
			continue
		case !(x[i] > x[i-1]):
			return &PointError{i, fmt.Sprintf("has x %g, which does not rise above %g before it", x[i], x[i-1])}
		case x[i]-x[i-1] < leastStep:
			return &PointError{i, fmt.Sprintf("is too close: x %g after %g", x[i], x[i-1])}
		}
		dy := y[i] - y[i-1]
		if dy*sense < 0 || math.Signbit(dy) != math.Signbit(sense) && dy != 0 && sense != 0 {
			return &PointError{i, fmt.Sprintf("turns back: y %g after %g", y[i], y[i-1])}
		}
		if s := dy / (x[i] - x[i-1]); math.Abs(s) > 2*maxMagnitude {
			return &PointError{i, fmt.Sprintf("is too steep: x %g after %g", x[i], x[i-1])}
		}
		if dy != 0 {
			sense = dy
		}
	}
	return nil
}

// slopes returns the Fritsch-Butland slopes at the knots.
func slopes(x, y []float64) []float64 {
	n := len(x)
	h, secant := make([]float64, n-1), make([]float64, n-1)
	for i := range h {
		h[i] = x[i+1] - x[i]
		secant[i] = (y[i+1] - y[i]) / h[i]
	}
	d := make([]float64, n)
	if n == 2 {
		d[0], d[1] = secant[0], secant[0]
		return d
	}
	for i := 1; i < n-1; i++ {
		if secant[i-1] != 0 && secant[i] != 0 {
			w1 := float64(2*h[i]) + h[i-1]
			w2 := h[i] + float64(2*h[i-1])
			d[i] = (w1 + w2) / (float64(w1/secant[i-1]) + float64(w2/secant[i]))
		}
	}
	d[0] = endSlope(h[0], h[1], secant[0], secant[1])
	d[n-1] = endSlope(h[n-2], h[n-3], secant[n-2], secant[n-3])
	return d
}

// endSlope returns the three-point slope at an end, held to the sense of the
// curve and to three times the secant s0 of the end interval h0.
func endSlope(h0, h1, s0, s1 float64) float64 {
	d := (float64((float64(2*h0)+h1)*s0) - float64(h0*s1)) / (h0 + h1)
	if s0 == 0 || (d > 0) != (s0 > 0) {
		return 0
	}
	// On monotone points |d| <= 2|s0|; the bound guards against rounding.
	if math.Abs(d) > math.Abs(3*s0) {
		return 3 * s0
	}
	return d
}

// Domain returns the first and the last x.
func (c *Curve) Domain() (low, high float64) { return c.x[0], c.x[len(c.x)-1] }

// Range returns the smallest and the largest y.
func (c *Curve) Range() (low, high float64) {
	a, b := c.y[0], c.y[len(c.y)-1]
	return math.Min(a, b), math.Max(a, b)
}

// Rising reports whether y rises with x; a level curve does not.
func (c *Curve) Rising() bool { return c.y[len(c.y)-1] > c.y[0] }

// Value returns y at x. It fails with *RangeError outside the domain.
func (c *Curve) Value(x float64) (float64, error) {
	i, err := c.segment(x)
	if err != nil {
		return math.NaN(), err
	}
	return c.value(i, x), nil
}

// Slope returns dy/dx at x. It fails with *RangeError outside the domain.
func (c *Curve) Slope(x float64) (float64, error) {
	i, err := c.segment(x)
	if err != nil {
		return math.NaN(), err
	}
	h := c.x[i+1] - c.x[i]
	b, a := c.cubic(i)
	t := (x - c.x[i]) / h
	s := c.d[i] + float64(t*(float64(2*b)+float64(3*a*t)))
	if c.Rising() {
		return math.Max(s, 0), nil // rounding must not turn a curve back
	}
	return math.Min(s, 0), nil
}

// Held returns y at x, or at the nearer end of the domain where x is outside:
// for callers who have decided that the ends go on level. NaN gives NaN.
func (c *Curve) Held(x float64) float64 {
	low, high := c.Domain()
	switch {
	case math.IsNaN(x):
		return x
	case x <= low:
		return c.y[0]
	case x >= high:
		return c.y[len(c.y)-1]
	}
	i, _ := c.segment(x)
	return c.value(i, x)
}

// segment returns the i for which x is in [x[i], x[i+1]].
func (c *Curve) segment(x float64) (int, error) {
	low, high := c.Domain()
	if !(x >= low && x <= high) {
		return 0, &RangeError{Value: x, Low: low, High: high}
	}
	i := sort.SearchFloat64s(c.x, x) // first knot at or after x
	if i > 0 {
		i--
	}
	return i, nil
}

// cubic returns the coefficients of t^2 and t^3 of segment i, over its width:
// y = y[i] + h t (d[i] + t (b + a t)), t from 0 to 1.
func (c *Curve) cubic(i int) (b, a float64) {
	secant := (c.y[i+1] - c.y[i]) / (c.x[i+1] - c.x[i])
	b = float64(3*secant) - float64(2*c.d[i]) - c.d[i+1]
	a = c.d[i] + c.d[i+1] - float64(2*secant)
	return b, a
}

// value returns y at x in segment i: exact at both knots, never outside them.
func (c *Curve) value(i int, x float64) float64 {
	switch x {
	case c.x[i]:
		return c.y[i]
	case c.x[i+1]:
		return c.y[i+1]
	}
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	b, a := c.cubic(i)
	inner := b + float64(a*t)
	y := c.y[i] + float64(h*float64(t*(c.d[i]+float64(t*inner))))
	low, high := c.y[i], c.y[i+1]
	if low > high {
		low, high = high, low
	}
	return min(max(y, low), high)
}
