package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// How often a fit that lets prints go their own way is linearised anew: from where
// all prints share everything, with every reading believed; and then with the noise
// and the readings' weights as they turn out.
const (
	awayRounds  = 12
	noiseRounds = 6
	mostHalves  = 6
	atEnd       = 0.01 // of the cost, which is in noise squared: no step to speak of
)

// goTheirWay finds the point at which every print goes its own way, and the noise
// and weights there. It fails when arithmetic can't tell.
func (a *apart) goTheirWay() bool {
	free := make([]allowance, a.prints)
	for k := range free {
		free[k] = freeAllowance
	}
	if !a.settle(free, awayRounds) {
		return false
	}
	for range noiseRounds {
		a.estimateNoise()
		a.reweigh()
		if !a.settle(free, 1) {
			return false
		}
	}
	return true
}

// settle moves to the point that is most likely under allowances, in steps that each
// make it more likely, and linearises the model there.
func (a *apart) settle(allow []allowance, rounds int) bool {
	for range rounds {
		a.linearise()
		p := a.before(allow)
		b := a.outcome(p)
		if b.mean == nil {
			return false
		}
		a.dof = b.dof
		if gain := a.stepTo(b.mean, p); gain < atEnd {
			break
		}
	}
	a.linearise()
	return true
}

// stepTo goes to a point, or part of the way where the readings fit worse there. It
// returns what the cost falls by.
func (a *apart) stepTo(to []float64, p before) float64 {
	core := a.size()
	from := slices.Concat(a.mean, a.shapes)
	start := a.cost(p)
	share := 1.0
	for range mostHalves {
		next := make([]float64, len(from))
		for i := range next {
			next[i] = from[i] + share*(to[i]-from[i])
		}
		a.mean, a.shapes = next[:core:core], next[core:]
		if c := a.cost(p); c <= start {
			return start - c
		}
		share /= 2
	}
	a.mean, a.shapes = from[:core:core], from[core:]
	a.cost(p)
	return 0
}

// cost is the sum of squares of the residuals and of the distance from what was
// expected before, each in terms of its doubt. It leaves the residuals.
func (a *apart) cost(p before) float64 {
	a.bend()
	a.residual, _ = a.fitted.linearised(a.mean)
	away := slices.Concat(a.mean, a.shapes)
	for i, m := range p.mean {
		away[i] -= m
	}
	v := mat.NewVecDense(len(away), away)
	c := a.squares(a.residual) + mat.Inner(v, p.precision, v)
	if math.IsNaN(c) {
		return math.Inf(1)
	}
	return c
}
