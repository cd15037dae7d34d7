package control

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/calibration"
	"actinic/process/density"
)

// How much honest hand-coated prints of one setup differ, and how much one may
// that differs in earnest, one standard deviation each: paper density, log of net
// density, log exposure, log contrast, and log exposure of the curve's shape (the
// first from black 0.03-0.06 and mid-tones 0.02-0.05 of density, contrast a few per
// cent: common practice, no published tolerance was found; the others are broad
// working values of ours).
var (
	honestSD = [ways + 1]float64{0.01, 0.035, 0.025, 0.03, 0.014}
	looseSD  = [ways + 1]float64{0.05, 0.25, 0.3, 0.2, 0.15}
)

// likely is how often a print that is checked differs in earnest in each of these
// ways (working values of ours: exposure most). Where it is asked by how much, not
// whether, exposure is free and contrast may well have changed: what is shrunk to
// the usual would understate a change.
var (
	likely = chances{0.04, 0.06, 0.50, 0.15, 0.06}
	sizing = chances{0.04, 0.06, 1, 0.50, 0.06}
)

// ofShape follows the ways that the response knows.
const ofShape = ways

// shapeLength is over how many L* a change of shape runs (a working value of ours).
const shapeLength = 20

// problem is what was read of a print, ready to be explained.
type problem struct {
	places  []place
	answer  *response
	doubt   *mat.SymDense // covariance of differences: readings and calibration
	slope   []float64     // L* by log exposure, at each place
	shape   *mat.SymDense // covariance of a change of shape of one unit of log exposure
	scatter float64       // factor on honest scatter: the aim has its own prints'
}

// newProblem gathers the covariance of the differences.
func newProblem(ps []place, answer *response, c *calibration.Calibration, prints int, aimed bool) *problem {
	n := len(ps)
	p := &problem{places: ps, answer: answer, doubt: mat.NewSymDense(n, nil), scatter: math.Sqrt(1 + 1/float64(prints))}
	for i := range ps {
		_, by := answer.differs(ps[i].uv, [ways]float64{})
		p.slope = append(p.slope, by[ofExposure])
		for j := i; j < n; j++ {
			v := 0.0
			if aimed {
				v = aimCovariance(c, &ps[i], &ps[j])
			}
			if i == j {
				v += ps[i].noise * ps[i].noise
				if !aimed {
					v += ps[i].AimSD * ps[i].AimSD
				}
			}
			p.doubt.SetSym(i, j, v)
		}
	}
	p.shape = p.shapes()
	return p
}

// shapes is the covariance of a change of shape, L* squared for one unit of log
// exposure squared: what is smooth over the tone scale and no difference in paper,
// black, exposure or contrast. Those are taken out, or shape would stand in for
// them.
func (p *problem) shapes() *mat.SymDense {
	n := len(p.places)
	free := p.without()
	var half, out mat.Dense
	k := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			k.Set(i, j, p.slope[i]*p.slope[j]*smooth(p.places[i].Aim-p.places[j].Aim))
		}
	}
	half.Mul(free, k)
	out.Mul(&half, free)
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sym.SetSym(i, j, (out.At(i, j)+out.At(j, i))/2)
		}
	}
	return sym
}

// without is the projection that takes the ways out of differences: the identity
// less their orthonormal base, by Gram and Schmidt, twice over for rounding.
func (p *problem) without() *mat.Dense {
	n := len(p.places)
	q := mat.NewDense(n, n, nil)
	for i := range n {
		q.Set(i, i, 1)
	}
	var base []*mat.VecDense
	for k := range ways {
		v := mat.NewVecDense(n, nil)
		for i := range n {
			_, by := p.answer.differs(p.places[i].uv, [ways]float64{})
			v.SetVec(i, by[k])
		}
		size := mat.Norm(v, 2)
		for range 2 {
			for _, b := range base {
				v.AddScaledVec(v, -mat.Dot(v, b), b)
			}
		}
		if left := mat.Norm(v, 2); left > 1e-6*size {
			v.ScaleVec(1/left, v)
			base = append(base, v)
			q.RankOne(q, -1, v, v)
		}
	}
	return q
}

// aimCovariance is that of two aims, L* squared: as the calibration keeps it, or,
// where it does not, smooth over the tone scale.
func aimCovariance(c *calibration.Calibration, a, b *place) float64 {
	d := c.Doubt
	if d == nil {
		return a.AimSD * b.AimSD * smooth(a.Aim-b.Aim)
	}
	sum := d.Common * d.Common
	for _, f := range d.Factors {
		sum += between(c.Ink.Percent, f, *a.Ink) * between(c.Ink.Percent, f, *b.Ink)
	}
	return sum
}

// smooth is the Matérn correlation of order 3/2 over L* (Rasmussen & Williams,
// Gaussian Processes for Machine Learning, 2006, eq. 4.17).
func smooth(lstar float64) float64 {
	d := math.Sqrt(3) * math.Abs(lstar) / shapeLength
	return (1 + d) * math.Exp(-d)
}

// allowance is how much the print may differ in each way: sd.
type allowance [ways + 1]float64

// allow returns the allowance of a set of ways that are loose.
func (p *problem) allow(loose [ways + 1]bool) allowance {
	var a allowance
	for k := range a {
		a[k] = honestSD[k] * p.scatter
		if loose[k] {
			a[k] = looseSD[k]
		}
	}
	return a
}

// belief is what is believed of the ways under one allowance.
type belief struct {
	theta     [ways]float64
	cov       *mat.SymDense
	logWeight float64
	odd       []float64 // of each place: how far it is from what the others say, in sds
}

// under returns the belief under an allowance: damped Gauss-Newton to the most
// likely ways, and the evidence there (Laplace's approximation: MacKay, Neural
// Computation 4 (1992) 415-447). It is false where the arithmetic fails.
func (p *problem) under(a allowance) (belief, bool) {
	spread := p.spread(a[ofShape])
	var chol mat.Cholesky
	if !chol.Factorize(spread) {
		return belief{}, false
	}
	theta := [ways]float64{}
	cost := p.cost(&chol, theta, a)
	for range 15 {
		next := p.step(spread, theta, a)
		moved := 0.0
		for range 10 {
			if c := p.cost(&chol, next, a); c <= cost {
				moved, cost = distance(theta, next), c
				theta = next
				break
			}
			for k := range next {
				next[k] = (next[k] + theta[k]) / 2
			}
		}
		if moved < 1e-7 {
			break
		}
	}
	return p.at(spread, theta, a)
}

func distance(a, b [ways]float64) float64 {
	d := 0.0
	for k := range a {
		d = math.Max(d, math.Abs(a[k]-b[k]))
	}
	return d
}

// spread is the covariance of readings about the ways: doubt, and shape.
func (p *problem) spread(shape float64) *mat.SymDense {
	s := mat.NewSymDense(len(p.places), nil)
	for i := range p.places {
		for j := i; j < len(p.places); j++ {
			s.SetSym(i, j, p.doubt.At(i, j)+float64(shape*shape*p.shape.At(i, j)))
		}
	}
	return s
}

// left is what theta leaves of the differences.
func (p *problem) left(theta [ways]float64) []float64 {
	out := make([]float64, len(p.places))
	for i := range p.places {
		d, _ := p.answer.differs(p.places[i].uv, theta)
		out[i] = p.places[i].Difference - d
	}
	return out
}

func (p *problem) cost(chol *mat.Cholesky, theta [ways]float64, a allowance) float64 {
	r := mat.NewVecDense(len(p.places), p.left(theta))
	var x mat.VecDense
	if chol.SolveVecTo(&x, r) != nil {
		return math.Inf(1)
	}
	sum := mat.Dot(r, &x)
	for k, v := range theta {
		sum += v * v / (a[k] * a[k])
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// linear returns the derivatives about theta, each times its allowance, and the
// differences that a linear model about theta explains.
func (p *problem) linear(theta [ways]float64, a allowance) (jac *mat.Dense, z *mat.VecDense) {
	n := len(p.places)
	jac, z = mat.NewDense(n, ways, nil), mat.NewVecDense(n, p.left(theta))
	for i := range n {
		_, by := p.answer.differs(p.places[i].uv, theta)
		sum := z.AtVec(i)
		for k := range by {
			jac.Set(i, k, by[k]*a[k])
			sum += by[k] * theta[k]
		}
		z.SetVec(i, sum)
	}
	return jac, z
}

// total is spread with the ways worked in, as Cholesky factors.
func total(spread *mat.SymDense, jac *mat.Dense) (*mat.Cholesky, bool) {
	n, _ := jac.Dims()
	all := mat.NewSymDense(n, nil)
	all.SymOuterK(1, jac)
	all.AddSym(all, spread)
	var chol mat.Cholesky
	return &chol, chol.Factorize(all)
}

// step is where the linear model about theta has its most likely ways.
func (p *problem) step(spread *mat.SymDense, theta [ways]float64, a allowance) [ways]float64 {
	jac, z := p.linear(theta, a)
	chol, ok := total(spread, jac)
	var x, t mat.VecDense
	if !ok || chol.SolveVecTo(&x, z) != nil {
		return theta
	}
	t.MulVec(jac.T(), &x)
	var out [ways]float64
	for k := range out {
		out[k] = a[k] * t.AtVec(k)
	}
	return out
}

// at is the belief about theta, where the search came to rest.
func (p *problem) at(spread *mat.SymDense, theta [ways]float64, a allowance) (belief, bool) {
	jac, z := p.linear(theta, a)
	chol, ok := total(spread, jac)
	var x mat.VecDense
	if !ok || chol.SolveVecTo(&x, z) != nil {
		return belief{}, false
	}
	var inverse mat.SymDense
	if chol.InverseTo(&inverse) != nil {
		return belief{}, false
	}
	b := belief{theta: theta, cov: covarianceOf(jac, &inverse, a), logWeight: -(chol.LogDet() + mat.Dot(z, &x)) / 2}
	for i := range p.places { // leave-one-out residuals (Rasmussen & Williams, eq. 5.12)
		b.odd = append(b.odd, x.AtVec(i)/math.Sqrt(inverse.At(i, i)))
	}
	return b, !math.IsNaN(b.logWeight)
}

// covarianceOf is that of the ways: A - A J' T^-1 J A, A their allowances.
func covarianceOf(jac *mat.Dense, inverse *mat.SymDense, a allowance) *mat.SymDense {
	var half, gain mat.Dense
	half.Mul(inverse, jac)
	gain.Mul(jac.T(), &half)
	cov := mat.NewSymDense(ways, nil)
	for k := range ways {
		for j := k; j < ways; j++ {
			v := -gain.At(k, j)
			if j == k {
				v++
			}
			cov.SetSym(k, j, a[k]*a[j]*v)
		}
	}
	return cov
}

// densityOf is the print density of L*; a black too deep to tell is held at L* 1.
func densityOf(lstar float64) density.Density {
	return density.Lightness(math.Max(lstar, 1)).Density()
}
