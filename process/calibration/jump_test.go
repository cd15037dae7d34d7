package calibration

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The quick algebra of jumps against the long way: the jumps' steps are added to
// the prior covariance of the ramp's correction, which is inverted and put
// through posterior as any other belief.

// jumpProblem is a linearised fit to a small print.
func jumpProblem() (*model, normalEquations, hypothesis) {
	s := darkroomScene()
	s.levels, s.repeats, s.uv = 15, 1, kinkedInk
	m, start := collect([]Print{s.print(5)}, &Options{})
	w := make(weights, len(m.obs))
	for i := range w {
		w[i] = 1
	}
	p := m.priorMean()
	p[m.atRamp()] += 0.2
	return m, m.equations(p, start, w), m.hypotheses()[1]
}

// withSteps is the hypothesis whose ramp may also jump at the knots.
func withSteps(t *testing.T, h hypothesis, knots ...int) hypothesis {
	t.Helper()
	n := h.ramp.inverse.SymmetricDim()
	var chol mat.Cholesky
	if !chol.Factorize(h.ramp.inverse) {
		t.Fatal("prior precision")
	}
	covariance := mat.NewSymDense(n, nil)
	if err := chol.InverseTo(covariance); err != nil {
		t.Fatal(err)
	}
	for _, k := range knots {
		step := mat.NewVecDense(n, nil)
		for j := k; j < n; j++ {
			step.SetVec(j, 1)
		}
		covariance.SymRankOne(covariance, jumpSD*jumpSD, step)
	}
	h.ramp = precisionOf(covariance)
	return h
}

var jumpSets = [][]int{{0}, {7}, {24}, {3, 11}, {0, 24}, {12, 13}}

func TestJumpsAreBeliefsWithSteps(t *testing.T) {
	m, eq, h := jumpProblem()
	mean0 := m.priorMean()
	s := m.posterior(eq, h, mean0)
	for _, at := range jumpSets {
		c := s.with(0, at...)
		var knots []int
		for _, i := range at {
			knots = append(knots, s.jumps[i].knot)
		}
		long := m.posterior(eq, withSteps(t, h, knots...), mean0)
		near(t, "evidence gained", c.logWeight-s.logWeight, long.logWeight-s.logWeight, 1e-6)
		near(t, "degrees of freedom", c.dof(), long.dof, 1e-6)
		mean := make([]float64, m.size())
		c.addMean(mean, 1)
		b := combine([]component{c}, m.size())
		for i := range mean {
			sd := math.Sqrt(long.cov.At(i, i))
			near(t, "mean in its doubts", mean[i]/sd, long.mean[i]/sd, 1e-6)
			for k := range mean {
				unit := sd * math.Sqrt(long.cov.At(k, k))
				near(t, "covariance in its doubts", b.covariance.At(i, k)/unit, long.cov.At(i, k)/unit, 1e-6)
			}
		}
	}
}

// A mixture of components against its definition: the mean of the covariances
// and the covariance of the means.
func TestCombineIsTheMixture(t *testing.T) {
	m, eq, h := jumpProblem()
	mean0, n := m.priorMean(), m.size()
	other := m.hypotheses()[3]
	a, b := m.posterior(eq, h, mean0), m.posterior(eq, other, mean0)
	a.logWeight, b.logWeight = 0, 0.3 // as likely as each other, so that both count
	parts := []component{{stem: a, logWeight: a.logWeight}, a.with(0, 4), a.with(0, 4, 19), {stem: b, logWeight: b.logWeight}, b.with(0, 9)}
	for i := range parts {
		parts[i].logWeight = -0.2 * float64(i)
	}
	got := combine(parts, n)
	mean, cov, total := make([]float64, n), mat.NewDense(n, n, nil), 0.0
	var means [][]float64
	for _, c := range parts {
		one := combine([]component{c}, n)
		w := math.Exp(c.logWeight)
		total += w
		means = append(means, one.mean)
		for i := range n {
			mean[i] += w * one.mean[i]
			for k := range n {
				cov.Set(i, k, cov.At(i, k)+w*one.covariance.At(i, k))
			}
		}
	}
	for i := range n {
		near(t, "mean", got.mean[i], mean[i]/total, 1e-9)
	}
	for i := range n {
		for k := range n {
			v := cov.At(i, k)
			for j, c := range parts {
				v += math.Exp(c.logWeight) * (means[j][i] - mean[i]/total) * (means[j][k] - mean[k]/total)
			}
			unit := math.Sqrt(got.covariance.At(i, i) * got.covariance.At(k, k))
			near(t, "covariance", got.covariance.At(i, k)/unit, v/total/unit, 1e-9)
		}
	}
}

// The prior shares of none, one and two jumps sum to one.
func TestComponentsShareThePrior(t *testing.T) {
	m, eq, h := jumpProblem()
	s := m.posterior(eq, h, m.priorMean())
	n := len(s.jumps)
	parts := s.components()
	if want := 1 + n + n*(n-1)/2; len(parts) != want {
		t.Fatalf("%d components, want %d", len(parts), want)
	}
	sum := 0.0
	for _, c := range parts {
		gain := 0.0
		if c.count > 0 {
			gain = s.with(0, c.at[:c.count]...).logWeight - s.logWeight
		}
		sum += math.Exp(c.logWeight - s.logWeight - gain)
	}
	near(t, "sum of the prior shares", sum, 1, 1e-9)
}
