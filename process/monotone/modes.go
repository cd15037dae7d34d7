package monotone

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// modes is a pspline in the coordinates in which both the readings' and the
// penalty's quadratic forms are diagonal, so that everything about one
// smoothing costs one pass over them (A. Demmler & C. Reinsch, Numer. Math. 24
// (1975) 375-382, from memory).
//
// With gram + base penalty = LL' and L^-1 penalty L^-T = V diag(tau) V', the
// coefficients are shape z with shape = L^-T V, and gram + lambda penalty is
// diag(1 + (lambda-base) tau) in z.
type modes struct {
	base  float64
	tau   []float64
	shape *mat.Dense
	u     []float64 // shape' B'Wy
	yy    float64
	n     int
}

// newModes returns the modes of p. ok is false when the readings do not fix
// even a straight line.
func newModes(p *pspline) (*modes, bool) {
	base := mat.Trace(p.gram) / mat.Trace(p.penalty)
	var chol mat.Cholesky
	if !chol.Factorize(p.system(base, 0, nil)) {
		return nil, false
	}
	var upper mat.TriDense
	chol.UTo(&upper) // gram + base penalty = U'U, L = U'
	var inverse mat.TriDense
	if err := inverse.InverseTri(&upper); err != nil {
		return nil, false
	}
	var half, full mat.Dense
	half.Mul(p.penalty, &inverse)
	full.Mul(inverse.T(), &half)
	var eigen mat.EigenSym
	if !eigen.Factorize(symmetric(&full), true) {
		return nil, false
	}
	var v mat.Dense
	eigen.VectorsTo(&v)
	m := &modes{base: base, tau: eigen.Values(nil), shape: new(mat.Dense), yy: p.yy, n: p.n}
	m.shape.Mul(&inverse, &v)
	var u mat.VecDense
	u.MulVec(m.shape.T(), p.rhs)
	m.u = u.RawVector().Data
	m.clearNull()
	return m, true
}

// symmetric returns the symmetric part of a, which is symmetric but for rounding.
func symmetric(a *mat.Dense) *mat.SymDense {
	n, _ := a.Dims()
	s := mat.NewSymDense(n, nil)
	for i := 0; i < n; i++ {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	return s
}

// clearNull sets the two modes without curvature, which come out as rounding,
// to zero, and holds the rest to what the algebra allows.
func (m *modes) clearNull() {
	for i, t := range m.tau { // ascending
		m.tau[i] = math.Min(math.Max(t, 0), 1/m.base)
	}
	m.tau[0], m.tau[1] = 0, 0
}

// stiffness returns element i of the diagonal of gram + lambda penalty.
func (m *modes) stiffness(i int, lambda float64) float64 {
	return 1 - m.base*m.tau[i] + lambda*m.tau[i]
}

// effectiveDOF returns trace((gram + lambda penalty)^-1 gram) (Eilers & Marx
// 1996, eq. 17): 2 for a straight line, falling as lambda rises.
func (m *modes) effectiveDOF(lambda float64) float64 {
	dof := 0.0
	for i, t := range m.tau {
		dof += (1 - m.base*t) / m.stiffness(i, lambda)
	}
	return dof
}

// lambdaFor returns the smoothing that leaves dof effective degrees of freedom,
// or the nearest one within 24 decades.
func (m *modes) lambdaFor(dof float64) float64 {
	low, high := math.Log(m.base*1e-12), math.Log(m.base*1e12)
	for range 60 {
		mid := (low + high) / 2
		if m.effectiveDOF(math.Exp(mid)) > dof {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp((low + high) / 2)
}

// evidence returns the log marginal likelihood of lambda up to a constant, the
// coefficients and (with prior 1/variance) the noise variance integrated out,
// and the penalised residual sum of squares at the best coefficients.
func (m *modes) evidence(lambda float64) (logLikelihood, rss float64) {
	rss = m.yy
	logDet := 0.0
	for i, u := range m.u {
		s := m.stiffness(i, lambda)
		rss -= u * u / s
		logDet += math.Log(s)
	}
	rss = math.Max(rss, 1e-14*m.yy) // below, it is rounding
	rank := float64(len(m.tau) - 2)
	dof := float64(m.n - 2)
	return (rank*math.Log(lambda) - logDet - dof*math.Log(rss)) / 2, rss
}
