package leastsquares

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// line is y = p0 + p1 x at the points x, with p2 (if n is 3) of no effect.
func line(x, y []float64, n int) Problem {
	return Problem{
		M: len(x), N: n,
		Residuals: func(p, r []float64) {
			for i := range x {
				r[i] = p[0] + p[1]*x[i] - y[i]
			}
		},
		Jacobian: func(_ []float64, j *mat.Dense) {
			for i := range x {
				j.Set(i, 0, 1)
				j.Set(i, 1, x[i])
			}
		},
	}
}

// A straight line must agree with the closed formulas of linear regression, in
// any units of x and y.
func TestStraightLineInAnyUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ux := math.Pow(10, float64(rapid.IntRange(-6, 6).Draw(t, "ux")))
		uy := math.Pow(10, float64(rapid.IntRange(-6, 6).Draw(t, "uy")))
		x, y := make([]float64, 7), make([]float64, 7)
		var sx, sy, sxx, sxy float64
		for i := range x {
			x[i] = float64(i) * ux
			y[i] = rapid.Float64Range(-1, 1).Draw(t, "y") * uy
			sx, sy, sxx, sxy = sx+x[i], sy+y[i], sxx+x[i]*x[i], sxy+x[i]*y[i]
		}
		slope := (7*sxy - sx*sy) / (7*sxx - sx*sx)
		res, err := Solve(line(x, y, 2), []float64{0, 0}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(res.P[1]-slope) > 1e-9*uy/ux {
			t.Fatalf("slope %g, regression formula gives %g", res.P[1], slope)
		}
		cov, err := res.Covariance()
		if err != nil {
			t.Fatal(err)
		}
		if want := 7 / (7*sxx - sx*sx); math.Abs(cov.At(1, 1)/want-1) > 1e-9 {
			t.Fatalf("variance of the slope %g, want %g", cov.At(1, 1), want)
		}
	})
}

func TestRankDeficiencyIsVisible(t *testing.T) {
	x, y := []float64{0, 1, 2, 3}, []float64{1, 2.9, 5.2, 7}
	res, err := Solve(line(x, y, 3), []float64{0, 0, 5}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if res.Rank != 2 || res.P[2] != 5 {
		t.Errorf("rank %d, unused parameter %g; want 2 and 5 unmoved", res.Rank, res.P[2])
	}
	if _, err := res.Covariance(); !errors.Is(err, ErrRankDeficient) {
		t.Errorf("covariance error %v, want ErrRankDeficient", err)
	}
}

// Two parameters that only appear as their sum.
func TestDegenerateSum(t *testing.T) {
	pr := Problem{M: 3, N: 2,
		Residuals: func(p, r []float64) {
			for i := range r {
				r[i] = p[0] + p[1] - float64(i)
			}
		},
		Jacobian: func(_ []float64, j *mat.Dense) {
			for i := 0; i < 3; i++ {
				j.SetRow(i, []float64{1, 1})
			}
		}}
	res, err := Solve(pr, []float64{10, -3}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(res.P[0]+res.P[1]-1) > 1e-9 || res.Rank != 1 {
		t.Errorf("sum %g (want 1), rank %d (want 1)", res.P[0]+res.P[1], res.Rank)
	}
}

func TestExactFit(t *testing.T) {
	res, err := Solve(line([]float64{0, 1, 2}, []float64{0, 0, 0}, 2), []float64{0, 0}, nil)
	if err != nil || res.Status != ExactFit || res.RSS != 0 {
		t.Errorf("got %+v, %v", res, err)
	}
}

// As many residuals as parameters: the curve goes through every point, and
// rounding is all that is left.
func TestAsManyResidualsAsParameters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-3, 3).Draw(t, "a")
		b := rapid.Float64Range(0.1, 3).Draw(t, "b")
		pr := Problem{M: 2, N: 2,
			Residuals: func(p, r []float64) {
				r[0] = math.Exp(p[0]) - math.Exp(a)
				r[1] = p[0] + p[1]*p[1] - a - b*b
			},
			Jacobian: func(p []float64, j *mat.Dense) {
				j.SetRow(0, []float64{math.Exp(p[0]), 0})
				j.SetRow(1, []float64{1, 2 * p[1]})
			}}
		res, err := Solve(pr, []float64{0.5, 1}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(res.P[0]-a) > 1e-9 || math.Abs(math.Abs(res.P[1])-b) > 1e-9 {
			t.Fatalf("got %v, want %g and +-%g", res.P, a, b)
		}
	})
}

func TestIterationLimitIsAnError(t *testing.T) {
	st := readStudy(t, "mgh09")
	res, err := Solve(st.problem(models["mgh09"]), st.Starts[0], &Options{MaxIterations: 3})
	var nc *NotConvergedError
	if !errors.As(err, &nc) || nc.Status != IterationLimit {
		t.Fatalf("error %v, want the iteration limit", err)
	}
	if res == nil || res.Iterations != 3 || res.Status.Converged() {
		t.Errorf("best point missing or wrong: %+v", res)
	}
}

// A Jacobian of the wrong sign leads uphill only: that must not pass for a
// minimum.
func TestStalledIsAnError(t *testing.T) {
	pr := line([]float64{0, 1, 2}, []float64{1, 3, 4}, 2)
	right := pr.Jacobian
	pr.Jacobian = func(p []float64, j *mat.Dense) { right(p, j); j.Scale(-1, j) }
	_, err := Solve(pr, []float64{50, 50}, &Options{StepTol: 1e-300})
	var nc *NotConvergedError
	if !errors.As(err, &nc) || nc.Status != Stalled {
		t.Errorf("error %v, want stalled", err)
	}
	if CheckJacobian(pr, []float64{1, 1}, 1e-6) == nil {
		t.Error("CheckJacobian passed a Jacobian of the wrong sign")
	}
}

func TestNotFinite(t *testing.T) {
	pr := line([]float64{0, 1, 2}, []float64{1, math.NaN(), 4}, 2)
	var nf *NotFiniteError
	if _, err := Solve(pr, []float64{0, 0}, nil); !errors.As(err, &nf) || nf.Row != 1 || nf.Column != -1 {
		t.Errorf("error %v, want residual 1 not finite", err)
	}
	pr = line([]float64{0, 1, 2}, []float64{1, 2, 4}, 2)
	pr.Jacobian = func(_ []float64, j *mat.Dense) { j.Set(2, 1, math.Inf(1)) }
	if _, err := Solve(pr, []float64{0, 0}, nil); !errors.As(err, &nf) || nf.Row != 2 || nf.Column != 1 {
		t.Errorf("error %v, want derivative (2, 1) not finite", err)
	}
	if CheckJacobian(pr, []float64{0, 0}, 1e-6) == nil {
		t.Error("CheckJacobian passed an infinite derivative")
	}
}

// Residuals that are not finite on the far side shorten the step: the root of
// log p from p = 8, where the full step would go to negative p.
func TestForbiddenRegionIsAvoided(t *testing.T) {
	pr := Problem{M: 1, N: 1,
		Residuals: func(p, r []float64) { r[0] = math.Log(p[0]) },
		Jacobian:  func(p []float64, j *mat.Dense) { j.Set(0, 0, 1/p[0]) }}
	res, err := Solve(pr, []float64{8}, nil)
	if err != nil || math.Abs(res.P[0]-1) > 1e-9 {
		t.Errorf("got %+v, %v; want 1", res, err)
	}
}

func TestUnusableProblems(t *testing.T) {
	x, y := []float64{0, 1}, []float64{1, 2}
	for name, c := range map[string]struct {
		pr    Problem
		start []float64
	}{
		"underdetermined": {line(x, y, 3), []float64{0, 0, 0}},
		"short start":     {line(x, y, 2), []float64{0}},
		"NaN start":       {line(x, y, 2), []float64{0, math.NaN()}},
		"overflow":        {line(x, []float64{1e200, 1}, 2), []float64{0, 0}},
	} {
		if _, err := Solve(c.pr, c.start, nil); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestStartIsNotChanged(t *testing.T) {
	start := []float64{0, 0}
	if _, err := Solve(line([]float64{0, 1, 2}, []float64{1, 2, 4}, 2), start, nil); err != nil {
		t.Fatal(err)
	}
	if start[0] != 0 || start[1] != 0 {
		t.Errorf("start became %v", start)
	}
}

// The number of allocations must not depend on the number of iterations.
func TestNoAllocationPerIteration(t *testing.T) {
	st := readStudy(t, "mgh09")
	pr := st.problem(models["mgh09"])
	allocs := func(iterations int) float64 {
		return testing.AllocsPerRun(5, func() {
			s := newSolver(pr, st.Starts[0], (&Options{MaxIterations: iterations}).withDefaults())
			if err := s.begin(); err != nil {
				t.Fatal(err)
			}
			if _, err := s.run(); err != nil {
				t.Fatal(err)
			}
		})
	}
	if few, many := allocs(5), allocs(60); many > few {
		t.Errorf("%v allocations in 5 iterations, %v in 60", few, many)
	}
}
