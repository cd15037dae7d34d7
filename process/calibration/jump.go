package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/opacity"
)

// Jumps of the ramp's log slope, where a printer switches inks: their size
// before any reading, and how likely none, one or two of them are (working
// values of ours, from simulated ramps of all kinds).
const (
	jumpSD   = 0.8
	noJump   = 0.5
	oneJump  = 0.3
	twoJumps = 0.2
)

// jump is a step in the log slope at one knot, seen from a stem.
type jump struct {
	v     []float64 // prior precision x step, over all parameters
	cv    []float64 // posterior covariance x v: the direction in which it moves the mean
	acv   []float64 // information of the readings x cv
	pull  float64   // vᵀ · posterior mean
	knot  int
	steps []float64 // v where the ramp's correction stands
}

// cross is stepᵀ · prior precision · step for two jumps.
func cross(a, b jump) float64 {
	if a.knot > b.knot {
		a, b = b, a
	}
	return floats.Sum(a.steps[b.knot:])
}

// jumps returns the jumps at every knot but the first, where a step is a
// constant and no jump.
func (m *model) jumps(s *stem, eq normalEquations) []jump {
	at, n, knots := m.atCorrection(), m.core(), opacity.RampGrid.Knots
	out := make([]jump, 0, knots-1)
	for k := 1; k < knots; k++ {
		j := jump{v: make([]float64, n), knot: k}
		for a := k; a < knots; a++ {
			for b := range knots {
				j.v[at+b] += s.ramp.inverse.At(a, b)
			}
		}
		j.steps = j.v[at : at+knots]
		j.cv = symTimes(s.cov, j.v)
		j.acv = symTimes(eq.info, j.cv)
		j.pull = floats.Dot(j.v, s.mean)
		out = append(out, j)
	}
	return out
}

func symTimes(a *mat.SymDense, x []float64) []float64 {
	out := mat.NewVecDense(len(x), nil)
	out.MulVec(a, mat.NewVecDense(len(x), x))
	return out.RawVector().Data
}

// jumpSet is none, one or two jumps by their places in the stem's list, with
// their mean sizes and the covariance of the sizes.
type jumpSet struct {
	at     [2]int
	count  int
	size   [2]float64
	spread [2][2]float64
}

// components returns the stem without a jump, with one at any knot, and with
// any two. Each jump changes the prior by rank one; by the matrix inversion
// lemma none needs a factorisation of its own.
func (s *stem) components() []component {
	base := component{stem: s, logWeight: s.logWeight}
	n := len(s.jumps)
	if n == 0 {
		return []component{base}
	}
	base.logWeight += math.Log(noJump)
	out := make([]component, 1, 1+n+n*(n-1)/2)
	out[0] = base
	single := math.Log(oneJump / float64(n))
	pair := math.Log(2 * twoJumps / float64(n*(n-1)))
	for i := range n {
		out = append(out, s.with(single, i))
		for k := range i {
			out = append(out, s.with(pair, k, i))
		}
	}
	return out
}

// with gives the stem jumps. A jump of prior variance s² along a step S gains
// log evidence of (pᵀM⁻¹p - log|s²M|)/2 with M = I/s² + SᵀPS - VᵀCV, where P
// and C are the prior precision and the posterior covariance, V = PS and
// p = Vᵀmean; its size is M⁻¹p with covariance M⁻¹.
func (s *stem) with(logPrior float64, at ...int) component {
	c := component{stem: s, jumpSet: jumpSet{count: len(at)}}
	copy(c.at[:], at)
	a := &s.jumps[at[0]]
	m00 := 1/(jumpSD*jumpSD) + cross(*a, *a) - floats.Dot(a.v, a.cv)
	if m00 <= 0 { // lost to rounding: the readings leave the jump no room
		c.logWeight = math.Inf(-1)
		return c
	}
	if len(at) == 1 {
		c.size[0], c.spread[0][0] = a.pull/m00, 1/m00
		c.logWeight = s.logWeight + logPrior + (a.pull*c.size[0]-math.Log(jumpSD*jumpSD*m00))/2
		return c
	}
	b := &s.jumps[at[1]]
	m11 := 1/(jumpSD*jumpSD) + cross(*b, *b) - floats.Dot(b.v, b.cv)
	m01 := cross(*a, *b) - floats.Dot(a.v, b.cv)
	det := m00*m11 - m01*m01
	if m11 <= 0 || det <= 0 {
		c.logWeight = math.Inf(-1)
		return c
	}
	c.spread = [2][2]float64{{m11 / det, -m01 / det}, {-m01 / det, m00 / det}}
	for i := range 2 {
		c.size[i] = c.spread[i][0]*a.pull + c.spread[i][1]*b.pull
	}
	c.logWeight = s.logWeight + logPrior +
		(a.pull*c.size[0]+b.pull*c.size[1]-math.Log(math.Pow(jumpSD, 4)*det))/2
	return c
}

// addMean adds the component's mean parameters, w times.
func (c *component) addMean(dst []float64, w float64) {
	floats.AddScaled(dst, w, c.mean)
	for i := range c.count {
		floats.AddScaled(dst, w*c.size[i], c.jumps[c.at[i]].cv)
	}
}

// dof is the degrees of freedom of the stem and of the jumps.
func (c *component) dof() float64 {
	d := c.stem.dof
	for i := range c.count {
		for k := range c.count {
			d += c.spread[i][k] * floats.Dot(c.jumps[c.at[i]].cv, c.jumps[c.at[k]].acv)
		}
	}
	return d
}

// gather adds the component's spread, and the outer product of its distance from
// the common mean, in terms of the jumps' directions and, last, of the stem's
// own distance.
func (c *component) gather(g *mat.SymDense, w float64) {
	last := g.SymmetricDim() - 1
	g.SetSym(last, last, g.At(last, last)+w)
	for i := range c.count {
		g.SetSym(c.at[i], last, g.At(c.at[i], last)+w*c.size[i])
		for k := range i + 1 {
			v := c.spread[i][k] + c.size[i]*c.size[k]
			g.SetSym(c.at[i], c.at[k], g.At(c.at[i], c.at[k])+w*v)
		}
	}
}
