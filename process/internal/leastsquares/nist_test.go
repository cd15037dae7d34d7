package leastsquares

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"actinic/testdata/vectors"
)

// study is one of NIST's data sets.
type study struct{ *vectors.Study }

func readStudy(t testing.TB, name string) study {
	t.Helper()
	return study{vectors.ReadStudy(t, name)}
}

// problem makes residuals of a model that returns f(x; b) and writes df/db.
func (st study) problem(model func(x float64, b, grad []float64) float64) Problem {
	n := len(st.Certified)
	grad := make([]float64, n)
	return Problem{
		M: len(st.Y), N: n,
		Residuals: func(b, r []float64) {
			for i, x := range st.X {
				r[i] = model(x, b, grad) - st.Y[i]
			}
		},
		Jacobian: func(b []float64, j *mat.Dense) {
			for i, x := range st.X {
				model(x, b, grad)
				j.SetRow(i, grad)
			}
		},
	}
}

// The models as NIST states them.
var models = map[string]func(x float64, b, g []float64) float64{
	"rat42": func(x float64, b, g []float64) float64 {
		e := math.Exp(b[1] - b[2]*x)
		q := 1 / (1 + e)
		g[0], g[1], g[2] = q, -b[0]*q*q*e, b[0]*q*q*e*x
		return b[0] * q
	},
	"rat43": func(x float64, b, g []float64) float64 {
		e := math.Exp(b[1] - b[2]*x)
		f := b[0] * math.Pow(1+e, -1/b[3])
		g[0], g[3] = f/b[0], f*math.Log1p(e)/(b[3]*b[3])
		g[1] = -f / b[3] * e / (1 + e)
		g[2] = -x * g[1]
		return f
	},
	"thurber": func(x float64, b, g []float64) float64 {
		num := b[0] + x*(b[1]+x*(b[2]+x*b[3]))
		den := 1 + x*(b[4]+x*(b[5]+x*b[6]))
		g[0], g[1], g[2], g[3] = 1/den, x/den, x*x/den, x*x*x/den
		q := -num / (den * den)
		g[4], g[5], g[6] = q*x, q*x*x, q*x*x*x
		return num / den
	},
	"mgh09": func(x float64, b, g []float64) float64 {
		num, den := x*x+x*b[1], x*x+x*b[2]+b[3]
		q := -b[0] * num / (den * den)
		g[0], g[1], g[2], g[3] = num/den, b[0]*x/den, q*x, q
		return b[0] * num / den
	},
}

// digits returns the number of digits that agree (NIST's log relative error).
func digits(got, want float64) float64 {
	if got == want {
		return 15
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// Certified parameters, their standard deviations and the residual sum of
// squares must agree to 8 digits or more, from both of NIST's starting points
// (start 1 is meant to be far away).
func TestNISTCertifiedValues(t *testing.T) {
	for name, model := range models {
		st := readStudy(t, name)
		pr := st.problem(model)
		for k, start := range st.Starts {
			res, err := Solve(pr, start, nil)
			if err != nil {
				t.Errorf("%s start %d: %v", name, k+1, err)
				continue
			}
			st.compare(t, name, res)
			t.Logf("%s start %d: %v after %d", name, k+1, res.Status, res.Iterations)
		}
	}
}

func (st study) compare(t *testing.T, name string, res *Result) {
	t.Helper()
	const want = 8
	cov, err := res.Covariance()
	if err != nil {
		t.Fatal(err)
	}
	if d := digits(res.RSS, st.RSS); d < want {
		t.Errorf("%s: RSS %.11g, certified %.11g", name, res.RSS, st.RSS)
	}
	variance := res.RSS / float64(len(st.Y)-len(res.P))
	for k, p := range res.P {
		sd := math.Sqrt(variance * cov.At(k, k))
		if digits(p, st.Certified[k]) < want || digits(sd, st.SD[k]) < want-2 {
			t.Errorf("%s b%d: %.11g +- %.11g, certified %.11g +- %.11g",
				name, k+1, p, sd, st.Certified[k], st.SD[k])
		}
	}
}

func TestJacobiansOfTheModels(t *testing.T) {
	for name, model := range models {
		st := readStudy(t, name)
		if err := CheckJacobian(st.problem(model), st.Certified, 1e-7); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func BenchmarkThurber(b *testing.B) {
	st := readStudy(b, "thurber")
	pr := st.problem(models["thurber"])
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(pr, st.Starts[0], nil); err != nil {
			b.Fatal(err)
		}
	}
}
