package printer

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Limits of climb.
const (
	mostClimbs  = 60
	flatEnough  = 1e-7 // gain that a step promises, in units of the function
	sureIncline = 1e-4 // part of the promised gain that a step must keep (Armijo)
)

// climb returns a place near start where f is largest: the method of Broyden,
// Fletcher, Goldfarb and Shanno with steps halved until they gain (J. Nocedal &
// S. J. Wright, Numerical Optimization, 2nd edition 2006, algorithm 6.1). f also
// writes its gradient, and is minus infinity where it is not defined; spread says
// how long a first step may be in each direction.
func climb(f func(x, gradient []float64) float64, start, spread []float64) []float64 {
	n := len(start)
	x, g := append([]float64(nil), start...), make([]float64, n)
	next, gNext, step := make([]float64, n), make([]float64, n), mat.NewVecDense(n, nil)
	inverse := usualCurvature(spread)
	value := f(x, g)
	for range mostClimbs {
		step.MulVec(inverse, mat.NewVecDense(n, g))
		limit(step.RawVector().Data, spread)
		gain := floats.Dot(step.RawVector().Data, g)
		if !(gain > flatEnough) {
			break
		}
		t, reached := 1.0, math.Inf(-1)
		for ; t > 1e-6; t /= 2 {
			floats.AddScaledTo(next, x, t, step.RawVector().Data)
			if reached = f(next, gNext); reached >= value+sureIncline*t*gain {
				break
			}
		}
		if !(t > 1e-6) {
			break
		}
		learn(inverse, x, next, g, gNext)
		copy(x, next)
		copy(g, gNext)
		value = reached
	}
	return x
}

// usualCurvature is the inverse curvature to start with: that of the prior.
func usualCurvature(spread []float64) *mat.SymDense {
	h := mat.NewSymDense(len(spread), nil)
	for i, s := range spread {
		h.SetSym(i, i, s*s/4)
	}
	return h
}

// limit shortens a step that is longer than spread in any direction.
func limit(step, spread []float64) {
	longest := 1.0
	for i, s := range step {
		longest = math.Max(longest, math.Abs(s)/spread[i])
	}
	floats.Scale(1/longest, step)
}

// learn updates the inverse curvature by a step (Nocedal & Wright eq. 6.17), the
// signs turned for a maximum.
func learn(inverse *mat.SymDense, x, next, g, gNext []float64) {
	n := len(x)
	s, y := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		s.SetVec(i, next[i]-x[i])
		y.SetVec(i, g[i]-gNext[i])
	}
	sy := mat.Dot(s, y)
	if !(sy > 1e-12) {
		return
	}
	var hy mat.VecDense
	hy.MulVec(inverse, y)
	inverse.SymRankOne(inverse, (1+mat.Dot(y, &hy)/sy)/sy, s)
	inverse.RankTwo(inverse, -1/sy, &hy, s)
}
