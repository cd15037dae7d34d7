package printer

import (
	"math"
	"math/rand/v2"
)

// invented is a printer for tests that knows nothing of the model: a driver
// separates colours into layered dyes, whose amounts make depths that add up and
// saturate; black comes in for grey, and light inks may print the light tones.
type invented struct {
	strength  [3]float64 // UV density of cyan, magenta, yellow in full
	black     float64
	from      float64 // grey from which black sets in
	bend      [3]float64
	light     float64 // strength of a light ink over its dark one; 0 without light inks
	handover  float64 // amount at which light inks give way
	width     float64 // amount within which they do
	saturates float64
}

// newInvented draws a printer: kind 0 has no light inks, 1 soft ones, 2 abrupt ones.
func newInvented(seed uint64, kind int) *invented {
	rng := rand.New(rand.NewPCG(seed, 77))
	u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	p := &invented{strength: [3]float64{u(0.8, 1.6), u(0.3, 0.9), u(1.2, 2.4)}, black: u(0.8, 1.8), from: u(0.3, 0.6), saturates: u(3, 6)}
	for i := range p.bend {
		p.bend[i] = u(0.8, 1.8)
	}
	if kind > 0 {
		p.light, p.handover, p.width = u(1, 1.5), u(0.3, 0.5), u(0.3, 0.5)
	}
	if kind == 2 {
		p.width = 0.06
	}
	return p
}

func (p *invented) uv(c RGB) float64 {
	var amount [3]float64
	for i, u := range nominal(c) {
		amount[i] = math.Pow(u, p.bend[i])
	}
	grey := math.Min(amount[0], math.Min(amount[1], amount[2]))
	black := math.Max(0, grey-p.from)
	depth := p.black * black
	for i := range amount {
		depth += p.strength[i] * p.dye(i, amount[i]-0.7*black)
	}
	return p.saturates * (1 - math.Exp(-depth/p.saturates))
}

// dye is the strength of a channel's dyes, light and dark, in units of the dark.
func (p *invented) dye(i int, amount float64) float64 {
	if p.light == 0 || i == 2 {
		return amount
	}
	over := math.Min(math.Max((amount-p.handover)/p.width, 0), 1)
	return amount * (over + (1-over)*p.light)
}

// number is a point that is known as a number.
func number(c RGB, uv, sd float64) Point {
	return Point{RGB: c, UVDensity: uv, SD: sd, AtLeast: math.NaN(), AtMost: math.NaN()}
}

// chartOf spreads n colours over the cube as a chart does: corners, neutrals, and
// others on a lattice, twice as often on the surface as inside.
func chartOf(n int) []RGB {
	out := []RGB{Clear, {}, {255, 0, 0}, {255, 255, 0}, {0, 255, 0}, {0, 255, 255}, {0, 0, 255}, {255, 0, 255}}
	for v := 15.0; v < 255; v += 30 {
		out = append(out, RGB{v, v, v})
	}
	rng := rand.New(rand.NewPCG(99, 0))
	seen := map[RGB]bool{}
	for _, c := range out {
		seen[c] = true
	}
	for len(out) < n {
		c := RGB{}
		for i := range c {
			c[i] = float64(rng.IntN(18) * 15)
		}
		if rng.IntN(3) > 0 {
			c[rng.IntN(3)] = float64(255 * rng.IntN(2))
		}
		if !seen[c] {
			seen[c] = true
			out = append(out, c)
		}
	}
	return out[:n]
}

// read reads each colour with noise.
func (p *invented) read(cs []RGB, sd float64, rng *rand.Rand) []Point {
	var out []Point
	for _, c := range cs {
		out = append(out, number(c, p.uv(c)+sd*rng.NormFloat64(), sd))
	}
	return out
}

// anyColour draws a colour of the cube, its surface included.
func anyColour(rng *rand.Rand) RGB {
	c := RGB{255 * rng.Float64(), 255 * rng.Float64(), 255 * rng.Float64()}
	if rng.IntN(2) == 0 {
		c[rng.IntN(3)] = float64(255 * rng.IntN(2))
	}
	return c
}
