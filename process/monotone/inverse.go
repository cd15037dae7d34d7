package monotone

import (
	"math"
	"sort"
)

// Inverse returns the x at which the curve has the value y: Value of it is y
// to 1e-12 of the curve's range or better. Where the curve stands still at y
// it returns the middle of that stretch; a level curve gives the middle of its
// domain. It fails with *RangeError outside the range.
func (c *Curve) Inverse(y float64) (float64, error) {
	low, high := c.Range()
	if !(y >= low && y <= high) {
		return math.NaN(), &RangeError{Value: y, Low: low, High: high}
	}
	n := len(c.y)
	rising := c.Rising()
	reached := func(i int) bool { return c.y[i] >= y }
	if !rising {
		reached = func(i int) bool { return c.y[i] <= y }
	}
	first := sort.Search(n, reached)
	if c.y[first] != y {
		return c.root(first-1, y, rising), nil
	}
	last := first
	for last+1 < n && c.y[last+1] == y {
		last++
	}
	return c.x[first] + float64((c.x[last]-c.x[first])/2), nil
}

// root returns the x in segment i at which the curve has the value y, which is
// strictly between its two knots. Newton steps that leave the bracket, or
// shrink it too slowly, give way to halving: it always ends.
func (c *Curve) root(i int, y float64, rising bool) float64 {
	low, high := c.x[i], c.x[i+1]
	x := low + float64((high-low)*((y-c.y[i])/(c.y[i+1]-c.y[i])))
	last := high - low
	for n := 0; n < 200; n++ {
		miss := c.value(i, x) - y
		if miss == 0 {
			return x
		}
		if (miss < 0) == rising {
			low = x
		} else {
			high = x
		}
		next := x - miss/c.slopeAt(i, x)
		if !(next > low && next < high) || math.Abs(next-x) > last/2 {
			next = low + float64((high-low)/2)
		}
		if next == x || next == low || next == high {
			break
		}
		last = math.Abs(next - x)
		x = next
	}
	return x
}

// slopeAt returns dy/dx at x in segment i.
func (c *Curve) slopeAt(i int, x float64) float64 {
	b, a := c.cubic(i)
	t := (x - c.x[i]) / (c.x[i+1] - c.x[i])
	return c.d[i] + float64(t*(float64(2*b)+float64(3*a*t)))
}
