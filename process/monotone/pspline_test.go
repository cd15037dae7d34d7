package monotone

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"actinic/testdata/vectors"
)

// Cubic B-splines add up to 1 and are never negative; the derivative is that
// of differences; at a knot they are 1/6, 4/6, 1/6 (Eilers & Marx 1996).
func TestBasis(t *testing.T) {
	b := basis{low: -2, high: 5, segments: 7}
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-2, 5).Draw(t, "x")
		first, w := b.at(x)
		total := 0.0
		for _, v := range w {
			if v < -1e-15 {
				t.Fatalf("B-spline %g", v)
			}
			total += v
		}
		if math.Abs(total-1) > 1e-14 || first < 0 || first+3 >= b.size() {
			t.Fatalf("sum %g, first %d", total, first)
		}
	})
	coef := []float64{1, 3, 2, 5, 4, 7, 1, 0, 2, 6}
	at := func(x float64) float64 { i, w := b.at(x); return sum(coef, i, w) }
	for x := -1.9; x < 4.9; x += 0.137 {
		i, w := b.slopeAt(x)
		near(t, "slope", sum(coef, i, w), (at(x+1e-5)-at(x-1e-5))/2e-5, 1e-8)
	}
	_, w := b.at(0)
	near(t, "at a knot", w[0]+4*w[2]+10*w[3], 1.0/6+4.0/6, 1e-14)
}

// scipy 1.10.1 / numpy 1.24.2, from the formulas of Eilers & Marx 1996 and
// Bollaerts et al. 2006: 12 segments, lambda 0.01, stiffness 1e6, three rounds;
// values with 12 digits, the effective dimension with 8.
func TestPsplineAgainstScipy(t *testing.T) {
	v := vectors.Read(t, "pspline.csv")
	p := newPspline(basis{low: 0, high: 3, segments: 12}, v.Floats("x"), v.Floats("y"), nil)
	plain, ok := p.solve(0.01, 0, nil)
	if !ok {
		t.Fatal("no solution")
	}
	rising, ok := p.rising(0.01, 1e6, make([]bool, len(plain)-1), 4) // the plain fit and three rounds
	if !ok {
		t.Fatal("no rising solution")
	}
	for i, x := range v.Floats("x") {
		first, w := p.basis.at(x)
		near(t, "fit", sum(plain, first, w), v.Float(i, "fit"), 1e-11)
		near(t, "monotone fit", sum(rising, first, w), v.Float(i, "fit_monotone"), 1e-9)
	}
	m, ok := newModes(p)
	if !ok {
		t.Fatal("no modes")
	}
	near(t, "effective dimension", m.effectiveDOF(0.01), 11.381017, 5e-8)
	near(t, "lambda of that dimension", m.lambdaFor(11.381017), 0.01, 1e-8)
}

// The modes against the plain formulas: log det(gram + lambda penalty), the
// penalised residuals and the trace that defines the effective dimension.
func TestModesAgainstPlainAlgebra(t *testing.T) {
	v := vectors.Read(t, "pspline.csv")
	p := newPspline(basis{low: 0, high: 3, segments: 12}, v.Floats("x"), v.Floats("y"), nil)
	m, _ := newModes(p)
	logLikelihood := func(lambda float64) (value, rss float64) {
		var chol mat.Cholesky
		if !chol.Factorize(p.system(lambda, 0, nil)) {
			t.Fatal("not positive definite")
		}
		a, _ := p.solve(lambda, 0, nil)
		rss = p.yy - mat.Dot(mat.NewVecDense(len(a), a), p.rhs)
		rank, dof := float64(len(a)-2), float64(p.n-2)
		return (rank*math.Log(lambda) - chol.LogDet() - dof*math.Log(rss)) / 2, rss
	}
	zero, _ := logLikelihood(1)
	modesZero, _ := m.evidence(1)
	for _, lambda := range []float64{1e-4, 0.01, 30, 1e4} {
		want, wantRSS := logLikelihood(lambda)
		got, gotRSS := m.evidence(lambda)
		near(t, "log likelihood", got-modesZero, want-zero, 1e-7)
		near(t, "penalised residuals", gotRSS, wantRSS, 1e-10)
	}
	near(t, "dimension of a straight line", m.effectiveDOF(1e12), 2, 1e-8)
}
