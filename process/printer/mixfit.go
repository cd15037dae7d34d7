package printer

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"actinic/process/internal/leastsquares"
)

// mixPrior is what is expected of the parameters of a mix before any reading:
// means and standard deviations (working values of ours).
type mixPrior struct {
	mean, sd [mixCount]float64
}

// Widths of the prior, all of logarithms but the first.
const (
	shareMean = -0.7 // n of 3: dyes lie over each other, but not evenly
	shareSD   = 1.0
	cornerSD  = 1.2 // a magenta may stop a tenth of what a yellow stops
	curveSD   = 0.8
	// departureSD is what a mix is expected to miss, a share of reach: it keeps
	// the first fit from following exact readings of few colours.
	departureSD = 0.08
)

// priorOf returns the prior for a printer whose dense colours have the UV
// density typical.
func priorOf(typical float64) *mixPrior {
	p := &mixPrior{}
	for k := range p.mean {
		switch {
		case k < cornersAt:
			p.mean[k], p.sd[k] = shareMean, shareSD
		case k < curvesAt:
			p.mean[k], p.sd[k] = math.Log(typical), cornerSD
		default:
			p.sd[k] = curveSD
		}
	}
	return p
}

// typicalOf returns a UV density that dense colours of these have: the upper
// quartile, at least 0.05 so that its logarithm is of ordinary size.
func typicalOf(cs []*colourSum) float64 {
	var all []float64
	for _, c := range cs {
		if c.weight > 0 {
			all = append(all, c.mean)
		}
	}
	if len(all) == 0 {
		return 1
	}
	slices.Sort(all)
	return math.Max(all[3*(len(all)-1)/4], 0.05)
}

// fitMix finds the parameters of the mix that explain the colours best, the
// prior weighed in, from start on. Each colour counts by its readings' doubt and
// the departure expected of it; outliers are held back.
func fitMix(cs []*colourSum, prior *mixPrior, start []float64) []float64 {
	p := append([]float64(nil), start...)
	trust := make([]float64, len(cs))
	for i := range trust {
		trust[i] = 1
	}
	for range 3 {
		pr := mixProblem(cs, prior, trust)
		r, err := leastsquares.Solve(pr, p, &leastsquares.Options{MaxIterations: 60})
		if r == nil && err != nil {
			return p // not finite: the start serves
		}
		p = r.P
		retrust(r.Residuals[:len(cs)], trust)
	}
	return p
}

// mixProblem states the fit: one residual a colour, one a parameter's prior.
func mixProblem(cs []*colourSum, prior *mixPrior, trust []float64) leastsquares.Problem {
	n := len(cs)
	scale := func(i int, uv float64) float64 {
		return math.Sqrt(trust[i]) / cs[i].firstDoubt()
	}
	pr := leastsquares.Problem{M: n + mixCount, N: mixCount}
	pr.Residuals = func(p, r []float64) {
		m := newMix(p)
		for i, c := range cs {
			uv := m.uvDensity(c.rgb)
			r[i] = c.miss(uv) * scale(i, uv)
		}
		for k := range p {
			r[n+k] = (p[k] - prior.mean[k]) / prior.sd[k]
		}
	}
	row := make([]float64, mixCount)
	pr.Jacobian = func(p []float64, j *mat.Dense) {
		m := newMix(p)
		for i, c := range cs {
			uv := m.sensitivity(c.rgb, row)
			if c.miss(uv) == 0 {
				continue
			}
			for k, v := range row {
				j.Set(i, k, v*scale(i, uv))
			}
		}
		for k := range p {
			j.Set(n+k, k, 1/prior.sd[k])
		}
	}
	return pr
}

// retrust lowers the weight of residuals that are far larger than most, by
// Huber's rule at 3 times their spread (P. J. Huber, Robust Statistics, 1981;
// from memory).
func retrust(residuals, trust []float64) {
	size := make([]float64, len(residuals))
	for i, r := range residuals {
		size[i] = math.Abs(r) / math.Sqrt(trust[i])
	}
	sorted := append([]float64(nil), size...)
	slices.Sort(sorted)
	spread := 1.4826*sorted[len(sorted)/2] + 1e-9
	for i, s := range size {
		trust[i] = math.Min(1, 3*spread/math.Max(s, 1e-300))
	}
}

// miss returns by how much a UV density misses what the colour's readings say:
// the distance from their mean, or from a bound that it breaks.
func (c *colourSum) miss(uv float64) float64 {
	if c.measured() {
		return uv - c.net
	}
	atLeast, atMost := c.bounds()
	return math.Min(0, uv-atLeast) + math.Max(0, uv-atMost)
}

// firstDoubt returns how far the mix is expected to miss the colour.
func (c *colourSum) firstDoubt() float64 {
	if !c.measured() {
		return boundSD + departureSD
	}
	v := departureSD * math.Abs(c.net) / (math.Abs(c.net) + halfReach)
	return math.Sqrt(1/c.weight + v*v)
}
