package calibration

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// unevenProblem is a linearised fit to two small prints on uneven sheets.
func unevenProblem() (*model, normalEquations) {
	a := unevenScene{scene: darkroomScene(), light: 0.05, coating: 0.03}
	m, start := collect([]Print{a.print(1), a.print(2)}, &Options{})
	w := make(weights, len(m.obs))
	for i := range w {
		w[i] = 1
	}
	return m, m.equations(append(m.priorMean(), make([]float64, m.uneven.size())...), start, w)
}

// Working the surfaces out and coming back to them, against one factorisation of
// everything: mean, covariance, degrees of freedom and evidence. The evidence is
// that of a linear model with a normal prior (Bishop, Pattern Recognition and
// Machine Learning, 2006, eq. 3.86).
func TestSurfacesAreWorkedOutExactly(t *testing.T) {
	m, eq := unevenProblem()
	h := m.hypotheses()[3]
	n, core := m.size(), m.core()
	mean0 := append(m.priorMean(), make([]float64, n-core)...)
	for _, b := range m.uneven.beliefs() {
		r := m.reduce(eq, b)
		s := m.posterior(r.normalEquations, h, m.priorMean())
		got := r.extend(belief{mean: s.mean, covariance: s.cov, dof: s.dof, logWeight: s.logWeight})

		own, ownDet := m.uneven.precision(b)
		curves, det := m.assemble(h)
		prior := mat.NewSymDense(n, nil)
		copyBlock(prior, curves, 0)
		for i, p := range own {
			prior.SetSym(core+i, core+i, p)
		}
		rhs, first := mat.NewVecDense(n, nil), mat.NewVecDense(n, mean0)
		rhs.MulVec(prior, first)
		before := mat.Dot(rhs, first)
		rhs.AddVec(rhs, mat.NewVecDense(n, eq.rhs))
		total, cov := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
		total.AddSym(eq.info, prior)
		var chol mat.Cholesky
		if !chol.Factorize(total) || chol.InverseTo(cov) != nil {
			t.Fatal("the whole problem has no answer")
		}
		mean := mat.NewVecDense(n, nil)
		mean.MulVec(cov, rhs)
		weight := h.logWeight + b.logWeight + (det+ownDet-chol.LogDet()+mat.Dot(rhs, mean)-before)/2
		near(t, "log evidence", got.logWeight, weight, 1e-6*math.Abs(weight))
		near(t, "degrees of freedom", got.dof, traceProduct(cov, eq.info), 1e-6*got.dof)
		for i := range n {
			near(t, "mean", got.mean[i], mean.AtVec(i), 1e-6)
			for k := i; k < n; k++ {
				near(t, "covariance", got.covariance.At(i, k), cov.At(i, k), 1e-6*math.Sqrt(cov.At(i, i)*cov.At(k, k)))
			}
		}
	}
}

// Two beliefs of equal weight, by hand: means 0 and 2, variances 1 and 3 give a
// mean of 1 and a variance of 2 + 1.
func TestMix(t *testing.T) {
	part := func(mean, variance, weight float64) belief {
		return belief{mean: []float64{mean}, covariance: mat.NewSymDense(1, []float64{variance}), dof: 4, logWeight: weight}
	}
	b := mix([]belief{part(0, 1, -7), {}, part(2, 3, -7)})
	near(t, "mean", b.mean[0], 1, 1e-15)
	near(t, "variance", b.covariance.At(0, 0), 3, 1e-15)
	near(t, "log evidence", b.logWeight, -7+math.Ln2, 1e-15)
	near(t, "degrees of freedom", b.dof, 4, 1e-15)
	if mix([]belief{{}}).mean != nil {
		t.Error("a mixture of nothing is something")
	}
}

// Legendre polynomials of degree 2 and 3, Abramowitz & Stegun, table 22.9.
func TestLegendre(t *testing.T) {
	for _, x := range []float64{-1, -0.3, 0, 0.5, 1} {
		near(t, "P1", legendre(1, x), x, 1e-15)
		near(t, "P2", legendre(2, x), (3*x*x-1)/2, 1e-15)
		near(t, "P3", legendre(3, x), (5*x*x*x-3*x)/2, 1e-15)
	}
}
