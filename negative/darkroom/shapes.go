package darkroom

import (
	"math"
	"math/rand/v2"
	"sort"
)

// A shape is how far a paper has gone from white (0) to its maximum black (1)
// against log exposure in a unit of its own. It is smooth and increasing.
type shape interface {
	fraction(x float64) float64
}

// probit is a paper whose grains have sensitivities that are spread as a
// normal distribution over log exposure.
type probit struct{}

func (probit) fraction(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// softCorners is a straight line of length 1 between a toe and a shoulder,
// each a softened corner of its own width: the toe bends the line up from
// nothing, and the shoulder bends what the toe gives towards 1.
type softCorners struct{ toe, shoulder float64 }

func newSoftCorners(rng *rand.Rand) softCorners {
	return softCorners{toe: between(rng, 0.08, 0.28), shoulder: between(rng, 0.08, 0.28)}
}

func (s softCorners) fraction(x float64) float64 {
	bare := s.left(0)
	return (bare - s.left(s.toe*softplus(x/s.toe))) / bare
}

// left is what the shoulder leaves between rise and the top.
func (s softCorners) left(rise float64) float64 {
	return s.shoulder * softplus((1-rise)/s.shoulder)
}

// softplus is log(1+e^x), which turns a corner at zero into a bend.
func softplus(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

// photochemical is a sensitiser that light uses up. A fraction c has reacted;
// the image that it forms stands in the light of what lies below:
//
//	dc/dt = (1-c) exp(-mask c)
//
// and the print reflects surface + (1-surface) 10^(-strength c), because the
// surface of the paper reflects some light whatever lies in it.
type photochemical struct {
	mask, strength, surface, net float64
	time                         []float64 // exposure time at u = -ln(1-c) = i*uStep
}

const (
	uStep  = 1.0 / 32
	uSteps = 40 * 32
)

func newPhotochemical(rng *rand.Rand, net float64) *photochemical {
	p := &photochemical{mask: between(rng, 0, 2.2), net: net}
	p.strength = net * between(rng, 1.02, 1.25)
	most := math.Pow(10, -p.strength)
	p.surface = (math.Pow(10, -net) - most) / (1 - most)
	p.time = make([]float64, uSteps+1)
	for i := range uSteps {
		u := float64(i) * uStep
		simpson := p.rate(u) + 4*p.rate(u+uStep/2) + p.rate(u+uStep)
		p.time[i+1] = p.time[i] + uStep/6*simpson
	}
	return p
}

// rate returns dt/du at u.
func (p *photochemical) rate(u float64) float64 {
	return math.Exp(-p.mask * math.Expm1(-u))
}

func (p *photochemical) fraction(x float64) float64 {
	c := -math.Expm1(-p.reacted(math.Pow(10, x)))
	return -math.Log10(p.surface+(1-p.surface)*math.Pow(10, -p.strength*c)) / p.net
}

// reacted returns u after time t: the cell of the table that holds t, then
// Newton steps on the cubic through its ends and slopes.
func (p *photochemical) reacted(t float64) float64 {
	i := sort.SearchFloat64s(p.time, t) - 1
	if i < 0 {
		return 0
	}
	if i >= uSteps {
		return uSteps * uStep
	}
	lo := float64(i) * uStep
	a, b := p.time[i], p.time[i+1]
	m, n := p.rate(lo)*uStep, p.rate(lo+uStep)*uStep
	s := (t - a) / (b - a)
	for range 4 {
		value := a + s*(m+s*((3*(b-a)-2*m-n)+s*(2*(a-b)+m+n)))
		slope := m + s*(2*(3*(b-a)-2*m-n)+s*3*(2*(a-b)+m+n))
		s -= (value - t) / slope
	}
	return lo + s*uStep
}

// between returns a uniform random number from low to high.
func between(rng *rand.Rand, low, high float64) float64 {
	return low + (high-low)*rng.Float64()
}
