package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/opacity"
)

// Jumps of the ramp's log slope, where a printer switches inks: their size
// before any reading, and how likely none, one or two of them are.
const (
	jumpSD       = 0.8
	noJump       = 0.5
	oneJump      = 0.3
	twoJumps     = 0.2
	negligibleLn = -12.0 // weights below exp of this are left out
)

// belief is what is known of the parameters after the readings: a normal
// distribution whose covariance holds the doubt within the hypotheses and the
// disagreement between them.
type belief struct {
	mean       []float64
	covariance *mat.SymDense
	dof        float64 // effective degrees of freedom of the fit
	logWeight  float64 // evidence of all hypotheses together
	likeliest  component
}

// normalEquations is the linearised problem: readings whitened by their noise.
type normalEquations struct {
	info *mat.SymDense // JᵀWJ
	rhs  []float64     // JᵀW(residual + J p)
}

// component is one hypothesis after the readings.
type component struct {
	logWeight float64
	mean      []float64
	cov       *mat.SymDense
	jumps     []jump
	inner     *mat.Cholesky // of what couples the jumps
	dof       float64
	belongs   hypothesis
}

// average returns the belief over all hypotheses, jumps included, about one
// linearisation of the model.
func (m *model) average(eq normalEquations, hyps []hypothesis) belief {
	mean0 := m.priorMean()
	var parts []component
	for _, h := range hyps {
		parts = append(parts, m.posteriors(eq, h, mean0)...)
	}
	return combine(parts, m.size())
}

// posteriors returns the components of one hypothesis: no jump, a jump at any
// knot, and pairs of jumps. Each jump changes the prior precision by rank one,
// so that none needs a factorisation of its own.
func (m *model) posteriors(eq normalEquations, h hypothesis, mean0 []float64) []component {
	n := m.size()
	prior, logDetP := m.assemble(h)
	rhs := mat.NewVecDense(n, nil)
	rhs.MulVec(prior, mat.NewVecDense(n, mean0))
	quad0 := mat.Dot(rhs, mat.NewVecDense(n, mean0))
	rhs.AddVec(rhs, mat.NewVecDense(n, eq.rhs))
	total := mat.NewSymDense(n, nil)
	total.AddSym(eq.info, prior)
	var chol mat.Cholesky
	if !chol.Factorize(total) {
		return nil
	}
	cov := mat.NewSymDense(n, nil)
	if err := chol.InverseTo(cov); err != nil {
		return nil
	}
	mean := mat.NewVecDense(n, nil)
	mean.MulVec(cov, rhs)
	base := component{
		logWeight: h.logWeight + math.Log(noJump) + (logDetP-chol.LogDet()+mat.Dot(rhs, mean)-quad0)/2,
		mean:      mean.RawVector().Data,
		cov:       cov,
		dof:       traceProduct(cov, eq.info),
		belongs:   h,
	}
	return append([]component{base}, m.jumps(base, h, cov)...)
}

func traceProduct(a, b *mat.SymDense) float64 {
	t, n := 0.0, a.SymmetricDim()
	for i := range n {
		t += floats.Dot(a.RawSymmetric().Data[i*n+i:i*n+n], b.RawSymmetric().Data[i*n+i:i*n+n])*2 -
			a.At(i, i)*b.At(i, i)
	}
	return t
}

// jump is a step in the log slope at one knot, seen from a base component.
type jump struct {
	v     []float64 // prior precision x step, all parameters
	cv    []float64 // posterior covariance x v
	prior float64   // stepᵀ · prior precision · step
	pull  float64   // vᵀ · posterior mean
	knot  int

	rampEnd int // one past the ramp's parameters
}

func (m *model) jumps(base component, h hypothesis, cov *mat.SymDense) []component {
	at := m.atCorrection()
	knots := opacity.RampGrid.Knots
	all := make([]jump, 0, knots)
	for k := 1; k < knots; k++ {
		j := jump{v: make([]float64, m.size()), knot: k, rampEnd: at + knots}
		for a := k; a < knots; a++ {
			for b := range knots {
				j.v[at+b] += h.ramp.inverse.At(a, b)
			}
		}
		j.prior = floats.Sum(j.v[at+k : at+knots])
		out := mat.NewVecDense(m.size(), nil)
		out.MulVec(cov, mat.NewVecDense(m.size(), j.v))
		j.cv = out.RawVector().Data
		j.pull = floats.Dot(j.v, base.mean)
		all = append(all, j)
	}
	var out []component
	single := math.Log(oneJump/noJump) - math.Log(float64(len(all)))
	pair := math.Log(twoJumps/noJump) - math.Log(float64(len(all)*(len(all)-1))/2)
	for i := range all {
		one := withJumps(base, all[i:i+1])
		one.logWeight += single
		out = append(out, one)
		for k := i + 1; k < len(all); k++ {
			two := withJumps(base, []jump{all[i], all[k]})
			two.logWeight += pair
			out = append(out, two)
		}
	}
	return out
}

// withJumps gives a component one or two jumps by the matrix inversion lemma:
// the prior covariance of the ramp grows by jumpSD² step·stepᵀ for each.
//
// The prior precision falls by V (I/s² + SᵀPS)⁻¹ Vᵀ with V = P S, and the
// posterior covariance grows by C V (I/s² + SᵀPS - VᵀCV)⁻¹ VᵀC.
func withJumps(base component, js []jump) component {
	k := len(js)
	inner := mat.NewSymDense(k, nil)
	pull := mat.NewVecDense(k, nil)
	for a := range js {
		pull.SetVec(a, js[a].pull)
		for b := a; b < k; b++ {
			p := js[a].prior
			if b != a {
				p = stepProduct(js[a], js[b])
			} else {
				p += 1 / (jumpSD * jumpSD)
			}
			inner.SetSym(a, b, p-floats.Dot(js[a].v, js[b].cv))
		}
	}
	var ci mat.Cholesky
	if !ci.Factorize(inner) {
		return component{logWeight: math.Inf(-1)}
	}
	weights := mat.NewVecDense(k, nil)
	if err := ci.SolveVecTo(weights, pull); err != nil {
		return component{logWeight: math.Inf(-1)}
	}
	c := component{logWeight: base.logWeight + (mat.Dot(pull, weights)-ci.LogDet()-2*float64(k)*math.Log(jumpSD))/2}
	c.mean = append([]float64(nil), base.mean...)
	for a := range js {
		floats.AddScaled(c.mean, weights.AtVec(a), js[a].cv)
	}
	c.cov, c.dof, c.belongs = base.cov, base.dof, base.belongs
	c.jumps, c.inner = js, &ci
	return c
}

// stepProduct is stepᵀ · prior precision · step for two different jumps.
func stepProduct(a, b jump) float64 {
	if a.knot > b.knot {
		a, b = b, a
	}
	return floats.Sum(a.v[a.rampEnd-opacity.RampGrid.Knots+b.knot : a.rampEnd])
}

// combine weighs the components and returns their common mean and covariance:
// the mean of the covariances plus the covariance of the means.
func combine(parts []component, n int) belief {
	top := math.Inf(-1)
	b := belief{mean: make([]float64, n), covariance: mat.NewSymDense(n, nil)}
	for _, c := range parts {
		if c.logWeight > top {
			top, b.likeliest = c.logWeight, c
		}
	}
	total := 0.0
	for _, c := range parts {
		if c.logWeight > top+negligibleLn {
			w := math.Exp(c.logWeight - top)
			total += w
			floats.AddScaled(b.mean, w, c.mean)
		}
	}
	floats.Scale(1/total, b.mean)
	b.logWeight = top + math.Log(total)
	bases := map[*mat.SymDense]float64{}
	for _, c := range parts {
		if c.logWeight > top+negligibleLn {
			w := math.Exp(c.logWeight-top) / total
			bases[c.cov] += w
			b.dof += w * c.dof
			b.addSpread(c, w)
		}
	}
	for _, c := range parts {
		if w, ok := bases[c.cov]; ok {
			addScaledSym(b.covariance, w, c.cov)
			delete(bases, c.cov)
		}
	}
	return b
}

// addSpread adds what a component's jumps and its distance from the common
// mean contribute to the covariance.
func (b *belief) addSpread(c component, w float64) {
	n := len(b.mean)
	d := make([]float64, n)
	floats.SubTo(d, c.mean, b.mean)
	b.covariance.SymRankOne(b.covariance, w, mat.NewVecDense(n, d))
	if len(c.jumps) == 0 {
		return
	}
	k := len(c.jumps)
	inv := mat.NewSymDense(k, nil)
	if err := c.inner.InverseTo(inv); err != nil {
		panic("calibration: a factorised matrix has no inverse")
	}
	for i := range k {
		for j := range k {
			b.covariance.RankTwo(b.covariance, w*inv.At(i, j)/2,
				mat.NewVecDense(n, c.jumps[i].cv), mat.NewVecDense(n, c.jumps[j].cv))
		}
	}
}

func addScaledSym(dst *mat.SymDense, w float64, src *mat.SymDense) {
	d, s := dst.RawSymmetric().Data, src.RawSymmetric().Data
	floats.AddScaled(d, w, s)
}

// priorOf returns the prior precision of a component, its jumps included: the
// prior covariance grows by jumpSD² step·stepᵀ for each jump.
func (m *model) priorOf(c component) *mat.SymDense {
	p, _ := m.assemble(c.belongs)
	k := len(c.jumps)
	if k == 0 {
		return p
	}
	outer := mat.NewSymDense(k, nil)
	for a := range k {
		outer.SetSym(a, a, c.jumps[a].prior+1/(jumpSD*jumpSD))
		for b := a + 1; b < k; b++ {
			outer.SetSym(a, b, stepProduct(c.jumps[a], c.jumps[b]))
		}
	}
	var chol mat.Cholesky
	inv := mat.NewSymDense(k, nil)
	if !chol.Factorize(outer) || chol.InverseTo(inv) != nil {
		panic("calibration: the steps of two jumps coincide")
	}
	for a := range k {
		for b := range k {
			p.RankTwo(p, -inv.At(a, b)/2, mat.NewVecDense(m.size(), c.jumps[a].v), mat.NewVecDense(m.size(), c.jumps[b].v))
		}
	}
	return p
}
