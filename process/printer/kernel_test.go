package printer

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"actinic/testdata/vectors"
)

// textbook is the problem of gp_rbf.csv: a Gaussian process with the
// squared-exponential kernel, sd 0.6 and length 0.2, mean 0.62, noise 0.01.
// Rasmussen & Williams 2006, algorithm 2.1; numbers computed with SciPy.
type textbook struct {
	kernel kernel
	places []place
	values []float64
}

func newTextbook() textbook {
	tb := textbook{kernel: kernel{each: part{0, 1}, smooth: part{0.6, 0.2}, rough: part{0, 1}, densest: 100}}
	for i, y := range []float64{0.05, 0.10, 0.45, 1.10, 1.40} {
		tb.places = append(tb.places, onLine(float64(i)/4))
		tb.values = append(tb.values, y)
	}
	return tb
}

// onLine is a place that differs from others in one coordinate.
func onLine(x float64) place { return place{at: [coordinates]float64{x}, reach: 1} }

const textbookMean, textbookSD = 0.62, 0.01

// solve states the textbook's problem as a design whose mix never moves.
func (tb textbook) solve(t *testing.T) (*design, *solution) {
	t.Helper()
	n := len(tb.places)
	d := &design{sums: &sums{}, prior: priorOf(1), own: make([]float64, n), clear: make([]bool, n)}
	d.p = d.prior.mean[:]
	var functions *mat.Dense
	d.basis, functions = newBasis(tb.kernel, tb.places, n)
	d.unknown = mixCount + d.basis.size()
	d.rows = mat.NewDense(n, d.unknown, nil)
	d.rows.Slice(0, n, mixCount, d.unknown).(*mat.Dense).Copy(functions)
	for _, y := range tb.values {
		d.sums.colours = append(d.sums.colours, &colourSum{mean: y, weight: 1 / (textbookSD * textbookSD)})
		d.uv = append(d.uv, textbookMean)
	}
	s, err := d.solve()
	if err != nil {
		t.Fatal(err)
	}
	return d, s
}

// at predicts by the same route as Model.UVDensity.
func (d *design) at(s *solution, p place) (mean, variance float64) {
	x := make([]float64, d.unknown)
	own := d.basis.functions(&p, x[mixCount:])
	mean = textbookMean + blas64.Dot(vector(x), vector(s.mean))
	return mean, s.variance(x) + own
}

func TestGaussianProcessVectors(t *testing.T) {
	tb := newTextbook()
	d, s := tb.solve(t)
	v := vectors.Read(t, "gp_rbf.csv")
	checked := 0
	for row := range v.Rows {
		switch name := v.Cell(row, "x"); name {
		case "log_marginal_likelihood":
			e := &evidence{places: tb.places, base: mat.NewSymDense(5, nil)}
			for i, y := range tb.values {
				e.value = append(e.value, y-textbookMean)
				e.base.SetSym(i, i, textbookSD*textbookSD)
			}
			near(t, name, e.likelihood(&tb.kernel, make([]float64, kernelCount)), v.Float(row, "mean"), 1e-9)
		case "argmax_var_on_0.001_grid":
			best, most := 0, 0.0
			for i := range 501 { // the other half is its mirror
				if _, variance := d.at(s, onLine(float64(i)/1000)); variance > most {
					best, most = i, variance
				}
			}
			near(t, name, float64(best)/1000, v.Float(row, "mean"), 1e-9)
			near(t, "variance there", most, v.Float(row, "var_latent"), 1e-12)
		default:
			mean, variance := d.at(s, onLine(v.Float(row, "x")))
			near(t, "mean at "+name, mean, v.Float(row, "mean"), 1e-11)
			near(t, "variance at "+name, variance, v.Float(row, "var_latent"), 1e-11)
			checked++
		}
	}
	if checked < 10 {
		t.Errorf("checked %d places, want 10", checked)
	}
}

// SciPy 1.10: the Matérn covariance in its general form by the modified Bessel
// function, 2^(1-nu)/Gamma(nu) r^nu K_nu(r), r = sqrt(2 nu) d/l, nu = 3/2.
func TestMaternAgainstBessel(t *testing.T) {
	for _, test := range []struct{ distance, length, want float64 }{
		{0.05, 0.25, 0.95221136147723}, {0.3, 0.25, 0.3851851380049}, {1, 0.4, 0.070175786430933},
	} {
		got, _ := matern32(test.distance, test.length)
		near(t, "Matérn 3/2", got, test.want, 1e-13)
	}
}

// somePlaces draws places as a mix gives them.
func somePlaces(n int, k *kernel) []place {
	rng := rand.New(rand.NewPCG(8, 1))
	m := newMix(drawMix(rng))
	var out []place
	for range n {
		out = append(out, k.placeOf(m, RGB{float64(rng.IntN(16) * 17), float64(rng.IntN(16) * 17), 255 * rng.Float64()}))
	}
	return out
}

func TestKernelTableIsTheKernel(t *testing.T) {
	k := usualKernel()
	k.densest = 0.5
	places := somePlaces(80, &k)
	table, got := newKernelTable(k, places), make([]float64, len(places))
	for i := range places {
		table.fill(&places[i], got)
		for j := range places {
			near(t, "covariance", got[j], k.between(&places[i], &places[j]), 1e-15)
		}
		near(t, "variance", k.variance(&places[i]), k.between(&places[i], &places[i]), 1e-14)
	}
}

func TestEvidenceGradient(t *testing.T) {
	k := usualKernel()
	k.densest = 100
	e := &evidence{places: somePlaces(30, &k), base: mat.NewSymDense(30, nil)}
	rng := rand.New(rand.NewPCG(8, 2))
	for i := range 30 {
		e.value = append(e.value, 0.1*rng.NormFloat64())
		e.base.SetSym(i, i, 4e-4)
	}
	x, gradient, scratch := k.logs(), make([]float64, kernelCount), make([]float64, kernelCount)
	for i := range x {
		x[i] += 0.3 * rng.NormFloat64()
	}
	e.of(x, gradient)
	const h = 1e-5
	for i := range x {
		x[i] += h
		up := e.of(x, scratch)
		x[i] -= 2 * h
		down := e.of(x, scratch)
		x[i] += h
		near(t, "gradient", gradient[i], (up-down)/(2*h), 1e-5*(1+math.Abs(gradient[i])))
	}
}

// The banana function of H. H. Rosenbrock, Computer J. 3 (1960) 175-184, turned
// over: its summit is at 1, 1.
func TestClimbFindsTheSummit(t *testing.T) {
	f := func(x, g []float64) float64 {
		a, b := 1-x[0], x[1]-x[0]*x[0]
		g[0], g[1] = 2*a+400*b*x[0], -200*b
		return -a*a - 100*b*b
	}
	got := climb(f, []float64{-1.2, 1}, []float64{0.5, 0.5})
	near(t, "x", got[0], 1, 1e-3)
	near(t, "y", got[1], 1, 2e-3)
}

// What is left after a soft cut of a normal belief, by SciPy 1.10: norm.pdf x
// norm.cdf summed over eight million steps.
func TestBoundsBindAsTheCutDoes(t *testing.T) {
	for _, test := range []struct {
		mean, variance, bound, sharp, sign, wantMean, wantVariance float64
	}{
		{0.3, 0.04, 0.5, 0.1, 1, 0.5578184916, 0.01478058404},
		{2.0, 0.09, 1.5, 0.03, -1, 1.380770965, 0.01310442908},
		{1.0, 0.01, 2.0, 0.02, 1, 1.971340519, 0.0004788644112},
		{1.0, 0.04, 0.7, 0.03, 1, 1.028204662, 0.03092929052},
		{0.0, 0.01, 5.0, 0.01, 1, 4.952493437, 0.0001030002375},
	} {
		p := Point{UVDensity: math.NaN(), SD: test.sharp, AtLeast: test.bound, AtMost: math.NaN()}
		if test.sign < 0 {
			p.AtLeast, p.AtMost = p.AtMost, p.AtLeast
		}
		r := p.readings()[0]
		const shift = 0.07
		r.bind(belief{test.mean - shift, test.variance}, shift)
		r.value -= shift
		after := belief{test.mean - shift, test.variance}.with(r.value, r.precision)
		near(t, "mean", after.mean+shift, test.wantMean, 2e-8)
		near(t, "variance", after.variance, test.wantVariance, 2e-8)
	}
}
