package nextchart

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"actinic/testdata/vectors"
)

// gaussianProcess is the covariance of gp_rbf.csv at places.
func gaussianProcess(at []float64) *mat.SymDense {
	cov := mat.NewSymDense(len(at), nil)
	for i := range at {
		for j := i; j < len(at); j++ {
			cov.SetSym(i, j, 0.36*math.Exp(-math.Pow((at[i]-at[j])/0.2, 2)/2))
		}
	}
	return cov
}

// afterFive is a design whose candidates are places, after the five readings of
// gp_rbf.csv; its aims stand every step from 0 to 1.
func afterFive(candidates []float64, noiseSD []float64, steps int) (d *design, aims []float64) {
	at := []float64{0, 0.25, 0.5, 0.75, 1}
	noise := []float64{1e-4, 1e-4, 1e-4, 1e-4, 1e-4}
	for i, x := range candidates {
		at, noise = append(at, x), append(noise, noiseSD[i]*noiseSD[i])
	}
	n := len(at)
	for i := range steps + 1 {
		aims = append(aims, float64(i)/float64(steps))
	}
	d = newDesign(gaussianProcess(append(at, aims...)), noise, even(len(aims)), 10)
	if n != len(d.noise) {
		panic("candidates lost")
	}
	for i := range 5 {
		d.read(i)
	}
	return d, aims
}

// The variances after five readings, and where the largest is: Rasmussen &
// Williams, Gaussian Processes for Machine Learning, 2006, Alg. 2.1, by scipy.
func TestVarianceOfGaussianProcess(t *testing.T) {
	d, aims := afterFive(nil, nil, 1000)
	v := vectors.Read(t, "gp_rbf.csv")
	tried := 0
	for i := range v.Rows {
		switch name := v.Cell(i, "x"); name {
		case "log_marginal_likelihood":
		case "argmax_var_on_0.001_grid":
			at := 0
			for k := range aims {
				if d.of(k) > d.of(at)*(1+alike) {
					at = k
				}
			}
			near(t, "place of the largest variance", aims[at], v.Float(i, "mean"), 1e-9)
			near(t, "largest variance", d.largest(), v.Float(i, "var_latent"), 1e-10)
			tried++
		default:
			k := int(math.Round(1000 * v.Float(i, "x")))
			near(t, "variance at "+name, d.of(k), v.Float(i, "var_latent"), 1e-10)
			tried++
		}
	}
	if tried < 10 {
		t.Errorf("%d values tried", tried)
	}
}

// What one more reading does to the mean variance, against scipy with the sixth
// reading put in; and the reading chosen is the one after which scipy's is least.
func TestGainOfOneReading(t *testing.T) {
	v := vectors.Read(t, "alc_rbf.csv")
	var places, noise []float64
	for i := range v.Rows[1:] {
		places, noise = append(places, v.Float(i+1, "x")), append(noise, v.Float(i+1, "noise_sd"))
	}
	d, _ := afterFive(places, noise, 100)
	near(t, "mean variance", d.variance(), v.Float(0, "mean_variance"), 1e-12)
	near(t, "largest variance", d.largest(), v.Float(0, "largest_variance"), 1e-12)
	least := 1
	for i := range places {
		near(t, "gain", d.gain(5+i), v.Float(0, "mean_variance")-v.Float(i+1, "mean_variance"), 1e-12)
		d.read(5 + i)
		near(t, "mean variance after one more", d.variance(), v.Float(i+1, "mean_variance"), 1e-12)
		near(t, "largest variance after one more", d.largest(), v.Float(i+1, "largest_variance"), 1e-12)
		d.unread(5 + i)
		if v.Float(i+1, "mean_variance") < v.Float(least, "mean_variance") {
			least = i + 1
		}
	}
	near(t, "mean variance, all taken back", d.variance(), v.Float(0, "mean_variance"), 1e-12)
	if got, _ := d.best(); got != 4+least {
		t.Errorf("reading at %g is best, scipy's at %g", places[got-5], places[least-1])
	}
}

// regression is a design for a polynomial on -1 to 1 of which nothing is known,
// with 41 candidates and the mean variance of prediction over 401 places.
func regression(degree int) (d *design, at []float64) {
	const candidates, aims = 41, 401
	var all []float64
	for i := range candidates {
		all = append(all, -1+2*float64(i)/(candidates-1))
	}
	at = append(at, all...)
	for i := range aims {
		all = append(all, -1+2*float64(i)/(aims-1))
	}
	cov := mat.NewSymDense(len(all), nil)
	for i := range all {
		for j := i; j < len(all); j++ {
			v := 0.0
			for p := range degree + 1 {
				v += 1e5 * math.Pow(all[i]*all[j], float64(p))
			}
			cov.SetSym(i, j, v)
		}
	}
	noise := make([]float64, candidates)
	for i := range noise {
		noise[i] = 1
	}
	return newDesign(cov, noise, even(aims), 1000), at
}

// Textbook designs on -1 to 1 for the mean variance of prediction (I-, or V-, or
// Q-optimality): a straight line is read at both ends, half and half; a parabola
// at -1, 0, 1 with weights 1/4, 1/2, 1/4 (Atkinson & Donev, Optimum Experimental
// Designs, 1992, and Fedorov 1972, from memory), where the D-optimal weights would
// be 1/3 each.
func TestTextbookDesigns(t *testing.T) {
	for _, test := range []struct {
		degree, n int
		want      map[float64]int
	}{
		{1, 2, map[float64]int{-1: 1, 1: 1}},
		{1, 20, map[float64]int{-1: 10, 1: 10}},
		{2, 4, map[float64]int{-1: 1, 0: 2, 1: 1}},
		{2, 24, map[float64]int{-1: 6, 0: 12, 1: 6}},
	} {
		d, at := regression(test.degree)
		d.choose(test.n)
		got := map[float64]int{}
		for _, i := range d.chosen {
			got[at[i]]++
		}
		for x, n := range test.want {
			if got[x] != n || len(got) != len(test.want) {
				t.Errorf("degree %d, %d readings: %v, want %v", test.degree, test.n, got, test.want)
				break
			}
		}
	}
}

// The mean variance of prediction of the parabola's design by hand: with Lagrange's
// polynomials at -1, 0, 1, whose squares have the means 2/15, 8/15, 2/15, weights
// w, 1-2w, w give 2(2/15)/w + (8/15)/(1-2w), least at w = 1/4: 32/15 a reading.
func TestParabolasVariance(t *testing.T) {
	d, _ := regression(2)
	d.choose(40)
	near(t, "40 x mean variance", 40*d.variance(), 32.0/15, 0.006) // the mean is over 401 places
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.12g, want %.12g within %g", what, got, want, within)
	}
}
