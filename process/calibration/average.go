package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// negligible is the weight, as a share of the largest, below which a component
// is left out of an average.
const negligible = 6e-6

// belief is what is known of the parameters after the readings: a normal
// distribution whose covariance holds the doubt within the hypotheses and the
// disagreement between them.
type belief struct {
	mean       []float64
	covariance *mat.SymDense
	dof        float64 // effective degrees of freedom of the fit
	logWeight  float64 // log evidence
}

// normalEquations is the linearised problem: readings whitened by their noise.
type normalEquations struct {
	info *mat.SymDense // JᵀWJ
	rhs  []float64     // JᵀW(residual + J p)
}

// stem is one hypothesis after the readings, before any jump.
type stem struct {
	hypothesis
	logWeight float64
	mean      []float64
	cov       *mat.SymDense
	dof       float64
	jumps     []jump
}

// component is a stem with up to two jumps.
type component struct {
	*stem
	logWeight float64
	jumpSet
}

// average returns the belief over all hypotheses, those about unevenness
// included, about one linearisation of the model.
func (m *model) average(eq normalEquations, hyps []hypothesis) belief {
	if m.uneven.count == 0 {
		return m.averageCurves(eq, hyps)
	}
	var parts []belief
	for _, r := range m.likely(eq, hyps) {
		if b := m.averageCurves(r.normalEquations, hyps); b.mean != nil {
			parts = append(parts, r.extend(b))
		}
	}
	return mix(parts)
}

// averageCurves returns the belief over all hypotheses about curves, jumps
// included. Its cost is one factorisation a hypothesis, in the cube of the
// number of parameters; jumps cost next to nothing.
func (m *model) averageCurves(eq normalEquations, hyps []hypothesis) belief {
	mean0 := m.priorMean()
	var parts []component
	for _, h := range hyps {
		if s := m.posterior(eq, h, mean0); s != nil {
			parts = append(parts, s.components()...)
		}
	}
	return combine(parts, m.core())
}

// posterior returns one hypothesis after the readings, nil when arithmetic
// cannot tell it.
func (m *model) posterior(eq normalEquations, h hypothesis, mean0 []float64) *stem {
	n := m.core()
	prior, logDetP := m.assemble(h)
	rhs, prior0 := mat.NewVecDense(n, nil), mat.NewVecDense(n, mean0)
	rhs.MulVec(prior, prior0)
	before := mat.Dot(rhs, prior0)
	rhs.AddVec(rhs, mat.NewVecDense(n, eq.rhs))
	total := mat.NewSymDense(n, nil)
	total.AddSym(eq.info, prior)
	var chol mat.Cholesky
	cov := mat.NewSymDense(n, nil)
	if !chol.Factorize(total) || chol.InverseTo(cov) != nil {
		return nil
	}
	mean := mat.NewVecDense(n, nil)
	mean.MulVec(cov, rhs)
	s := &stem{hypothesis: h, mean: mean.RawVector().Data, cov: cov, dof: traceProduct(cov, eq.info),
		logWeight: h.logWeight + (logDetP-chol.LogDet()+mat.Dot(rhs, mean)-before)/2}
	if math.IsNaN(s.logWeight) {
		return nil
	}
	if m.nRamp > 0 {
		s.jumps = m.jumps(s, eq)
	}
	return s
}

// traceProduct is the trace of the product of two symmetric matrices.
func traceProduct(a, b *mat.SymDense) float64 {
	t, n := 0.0, a.SymmetricDim()
	x, y := a.RawSymmetric().Data, b.RawSymmetric().Data
	for i := range n {
		row := i * n
		t += 2*floats.Dot(x[row+i:row+n], y[row+i:row+n]) - x[row+i]*y[row+i]
	}
	return t
}

// combine weighs the components and returns their common mean and covariance:
// the mean of the covariances plus the covariance of the means. Without a usable
// component the belief is empty.
func combine(parts []component, n int) belief {
	top := math.Inf(-1)
	for i := range parts {
		top = math.Max(top, parts[i].logWeight)
	}
	if math.IsInf(top, -1) {
		return belief{}
	}
	b := belief{mean: make([]float64, n), covariance: mat.NewSymDense(n, nil)}
	share, total := make([]float64, len(parts)), 0.0
	for i := range parts {
		if w := math.Exp(parts[i].logWeight - top); w > negligible {
			share[i] = w
			total += w
		}
	}
	b.logWeight = top + math.Log(total)
	floats.Scale(1/total, share)
	for i, w := range share {
		if w > 0 {
			parts[i].addMean(b.mean, w)
		}
	}
	for i := 0; i < len(parts); {
		j := i
		for j < len(parts) && parts[j].stem == parts[i].stem {
			j++
		}
		b.addStem(parts[i:j], share[i:j])
		i = j
	}
	return b
}

// addStem adds the components of one stem to the covariance. Their means and
// covariances differ by combinations of the jumps' directions only, so that one
// small matrix gathers them all.
func (b *belief) addStem(parts []component, share []float64) {
	s := parts[0].stem
	n, k := len(s.mean), len(s.jumps)
	gather := mat.NewSymDense(k+1, nil) // over the jumps' directions and the stem's distance
	weight := 0.0
	for i, w := range share {
		if w > 0 {
			weight += w
			b.dof += w * parts[i].dof()
			parts[i].gather(gather, w)
		}
	}
	if weight == 0 {
		return
	}
	floats.AddScaled(b.covariance.RawSymmetric().Data, weight, s.cov.RawSymmetric().Data)
	directions := mat.NewDense(k+1, n, nil)
	for j := range s.jumps {
		directions.SetRow(j, s.jumps[j].cv)
	}
	floats.SubTo(directions.RawRowView(k), s.mean, b.mean)
	var half, full mat.Dense
	half.Mul(gather, directions)
	full.Mul(directions.T(), &half)
	for i := range n {
		for j := i; j < n; j++ {
			b.covariance.SetSym(i, j, b.covariance.At(i, j)+full.At(i, j))
		}
	}
}
