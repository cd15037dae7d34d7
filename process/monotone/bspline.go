package monotone

import "math"

// basis is a set of cubic B-splines on equal segments of [low, high], the
// knots going on evenly beyond both ends (P. H. C. Eilers & B. D. Marx,
// Statist. Sci. 11(2) 89-121, 1996). There are segments+3 of them and they
// add up to 1 everywhere.
type basis struct {
	low, high float64
	segments  int
}

// size returns the number of B-splines.
func (b basis) size() int { return b.segments + 3 }

// place returns the segment of x and the position in it, 0 to 1. x must be in
// [low, high].
func (b basis) place(x float64) (segment int, t float64) {
	pos := (x - b.low) / (b.high - b.low) * float64(b.segments)
	segment = min(max(int(math.Floor(pos)), 0), b.segments-1)
	return segment, pos - float64(segment)
}

// at returns the four B-splines that are not zero at x and the index of the
// first of them.
func (b basis) at(x float64) (first int, w [4]float64) {
	first, t := b.place(x)
	u := 1 - t
	w[0] = u * u * u / 6
	w[1] = (4 - 6*t*t + 3*t*t*t) / 6
	w[2] = (4 - 6*u*u + 3*u*u*u) / 6
	w[3] = t * t * t / 6
	return first, w
}

// slopeAt returns the derivatives of those four at x.
func (b basis) slopeAt(x float64) (first int, w [4]float64) {
	first, t := b.place(x)
	u := 1 - t
	perX := float64(b.segments) / (b.high - b.low)
	w[0] = -u * u / 2 * perX
	w[1] = (3*t*t - 4*t) / 2 * perX
	w[2] = (4*u - 3*u*u) / 2 * perX
	w[3] = t * t / 2 * perX
	return first, w
}

// sum returns the sum of w times the coefficients from first on.
func sum(coef []float64, first int, w [4]float64) float64 {
	s := 0.0
	for k, v := range w {
		s += v * coef[first+k]
	}
	return s
}
