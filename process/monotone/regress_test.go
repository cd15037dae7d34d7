package monotone

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// trueCurves are prints to expect, L* over film ink 0 to 100: a smooth S, and
// one whose slope jumps where a printer switches inks.
var trueCurves = map[string]func(u float64) float64{
	"smooth": func(u float64) float64 { return 22 + 70/(1+math.Exp(-(u-50)/11)) },
	"kinked": func(u float64) float64 {
		switch {
		case u < 30:
			return 23 + 0.25*u
		case u < 62:
			return 30.5 + 1.45*(u-30)
		}
		return 76.9 + 16.1*(1-math.Exp(-(u-62)/12))
	},
}

// simulate draws two readings at each of 41 inks, with noise 0.5.
func simulate(truth func(float64) float64, rng *rand.Rand) (x, y []float64) {
	for i := range 82 {
		u := float64(i/2) * 2.5
		x = append(x, u)
		y = append(y, truth(u)+0.5*rng.NormFloat64())
	}
	return x, y
}

// score collects how often 95 % bands hold the truth, and squared errors.
type score struct {
	inside, count   int
	squares, simple float64
}

func (s *score) coverage() float64 { return 100 * float64(s.inside) / float64(s.count) }

// error returns the rms error over that of the simple way.
func (s *score) error() float64 { return math.Sqrt(s.squares / s.simple) }

// passes is the gate: honest bands, and an error well below the simple way's.
func (s *score) passes() bool {
	return s.coverage() >= 92 && s.coverage() <= 98 && s.error() <= 0.85
}

// add scores one regression against the truth, and against the simple way:
// average the repeats, make them monotone, interpolate.
func (s *score) add(t *testing.T, r *Regression, x, y []float64, truth func(float64) float64) {
	t.Helper()
	var knots, means []float64
	for i := 0; i < len(x); i += 2 {
		knots, means = append(knots, x[i]), append(means, (y[i]+y[i+1])/2)
	}
	steps, err := Isotonic(means, nil, Increasing)
	if err != nil {
		t.Fatal(err)
	}
	simple := mustNew(t, knots, steps)
	for u := 0.0; u <= 100; u += 1.25 {
		v, _ := r.Value(u)
		sd, _ := r.SD(u)
		miss := v - truth(u)
		if math.Abs(miss) <= 1.96*sd {
			s.inside++
		}
		s.count++
		s.squares += miss * miss
		miss = mustValue(t, simple, u) - truth(u)
		s.simple += miss * miss
	}
}

// run scores repeated simulations of one curve.
func run(t *testing.T, truth func(float64) float64, repeats int, fit func(x, y []float64) *Regression) *score {
	rng := rand.New(rand.NewPCG(2024, 7))
	s := &score{}
	for range repeats {
		x, y := simulate(truth, rng)
		s.add(t, fit(x, y), x, y, truth)
	}
	return s
}

func mustRegress(t fataler, x, y []float64) *Regression {
	t.Helper()
	r, err := Regress(x, y, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// In 100 repeats, smooth and kinked: bands hold 96 and 95 %, the error is 0.64
// and 0.75 of that of averaging, isotonic regression and interpolation.
func TestBandsCoverTheTruth(t *testing.T) {
	for name, truth := range trueCurves {
		s := run(t, truth, 40, func(x, y []float64) *Regression { return mustRegress(t, x, y) })
		if !s.passes() {
			t.Errorf("%s: bands hold %.1f %% (want 92 to 98), error %.2f of the simple way's (want 0.85)",
				name, s.coverage(), s.error())
		}
	}
}

// The gate of TestBandsCoverTheTruth must notice a fit that is wrong. With
// smoothing off (lambda next to nothing) bands hold 88 % and the error is no
// better than the simple way's; too stiff a curve (4 degrees of freedom) misses
// the kinks: its bands hold 41 %, its error is eight times as large.
func TestTheGateSeesWrongSmoothing(t *testing.T) {
	truth := trueCurves["kinked"]
	for name, choose := range map[string]func(m *modes) float64{
		"off":   func(m *modes) float64 { return 1e-9 * m.base },
		"stiff": func(m *modes) float64 { return m.lambdaFor(4) },
	} {
		s := run(t, truth, 20, func(x, y []float64) *Regression {
			f := newFit(x, y, nil, Options{Segments: 40})
			m, ok := newModes(f.spline)
			if !ok {
				t.Fatal("no modes")
			}
			r, err := f.average(m, []float64{choose(m)})
			if err != nil {
				t.Fatal(err)
			}
			return r
		})
		t.Logf("%s: bands hold %.1f %%, error %.2f of the simple way's", name, s.coverage(), s.error())
		if s.passes() {
			t.Errorf("%s passes the gate", name)
		}
	}
}

// The noise is found: 0.5, from 41 x 2 readings, within what chance allows.
func TestNoiseIsFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	mean := 0.0
	for range 12 {
		x, y := simulate(trueCurves["smooth"], rng)
		mean += mustRegress(t, x, y).Noise / 12
	}
	near(t, "noise", mean, 0.5, 0.03)
}

// Whatever the readings, the curve strictly rises or falls as told.
func TestRegressionIsStrictlyMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(6, 40).Draw(t, "n")
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), n, n).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Float64Range(-1, 1), n, n).Draw(t, "y")
		d := rapid.SampledFrom([]Direction{Increasing, Decreasing}).Draw(t, "direction")
		r, err := Regress(x, y, nil, &Options{Direction: d})
		if errors.Is(err, ErrTooFewReadings) || errors.Is(err, ErrLevel) || errors.Is(err, ErrUnfixed) {
			t.Skip("unusable readings")
		}
		if err != nil {
			t.Fatal(err)
		}
		low, high := r.Domain()
		last := math.Inf(-1)
		for k := 0; k <= 200; k++ {
			u := math.Min(low+float64(k)/200*(high-low), high)
			v, err := r.Value(u)
			if err != nil || !(d.sign()*v > last) {
				t.Fatalf("at %g: %g after %g, %v", u, d.sign()*v, last, err)
			}
			last = d.sign() * v
			if s, err := r.Slope(u); err != nil || !(d.sign()*s > 0) {
				t.Fatalf("slope %g at %g, %v", s, u, err)
			}
			if sd, err := r.SD(u); err != nil || !(sd > 0) {
				t.Fatalf("uncertainty %g at %g, %v", sd, u, err)
			}
		}
	})
}

// Magnitudes at the limits of the machine give an error or a finite answer.
func TestRegressionAtTheLimits(t *testing.T) {
	size := rapid.SampledFrom([]float64{0, 1, -1, 1e-300, 5e-324, 1e-9, 1e9, -1e50, 1e100, 3})
	weight := rapid.SampledFrom([]float64{1, 1, 2, 1e-300, 5e-324, 1e-9, 1e50, 1e100})
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(size, 6, 20).Draw(t, "x")
		y := rapid.SliceOfN(size, len(x), len(x)).Draw(t, "y")
		w := rapid.SliceOfN(weight, len(x), len(x)).Draw(t, "w")
		r, err := Regress(x, y, w, nil)
		if err != nil {
			return
		}
		low, high := r.Domain()
		v, _ := r.Value(low + (high-low)/3)
		sd, _ := r.SD(low + (high-low)/3)
		if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(sd) || math.IsNaN(r.Noise) {
			t.Fatalf("value %g, uncertainty %g, noise %g", v, sd, r.Noise)
		}
	})
}

// Order, mirror image, units and the scale of the weights change nothing but
// themselves.
func TestRegressionDoesNotSeeUnits(t *testing.T) {
	x, y := simulate(trueCurves["kinked"], rand.New(rand.NewPCG(1, 1)))
	w, ones := make([]float64, len(x)), make([]float64, len(x))
	ox, oy := make([]float64, len(x)), make([]float64, len(x))
	for i := range x {
		ones[i], w[i] = 1, 4
		ox[len(x)-1-i], oy[len(x)-1-i] = 1000*x[i]-7, 5-0.01*y[i]
	}
	a, err := Regress(x, y, ones, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Regress(ox, oy, w, &Options{Direction: Decreasing})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "noise", b.Noise, 2*0.01*a.Noise, 1e-9)
	near(t, "degrees of freedom", b.EffectiveDOF, a.EffectiveDOF, 1e-6)
	for u := 0.0; u <= 100; u += 7.7 {
		va, _ := a.Value(u)
		vb, _ := b.Value(1000*u - 7)
		near(t, "value", 100*(5-vb), va, 1e-7)
		sa, _ := a.SD(u)
		sb, _ := b.SD(1000*u - 7)
		near(t, "uncertainty", 100*sb, sa, 1e-7)
	}
}

// A reading of weight 1e-6 counts for next to nothing.
func TestWeightsCount(t *testing.T) {
	x, y := simulate(trueCurves["smooth"], rand.New(rand.NewPCG(3, 1)))
	clean := mustRegress(t, x, y)
	w := make([]float64, len(x))
	for i := range w {
		w[i] = 1
	}
	y[30], w[30] = y[30]+40, 1e-6
	r, err := Regress(x, y, w, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := clean.Value(x[30])
	b, _ := r.Value(x[30])
	near(t, "value beside the spoilt reading", b, a, 0.02)
}

// The covariance is that of SD, symmetric, and never beats its own diagonal.
func TestRegressionCovariance(t *testing.T) {
	x, y := simulate(trueCurves["kinked"], rand.New(rand.NewPCG(3, 1)))
	r := mustRegress(t, x, y)
	for u := 0.0; u <= 100; u += 9 {
		sd, _ := r.SD(u)
		self, _ := r.Covariance(u, u)
		near(t, "variance", self, sd*sd, 1e-12)
		other, _ := r.SD(100 - u)
		ab, _ := r.Covariance(u, 100-u)
		ba, _ := r.Covariance(100-u, u)
		near(t, "symmetry", ab, ba, 1e-12)
		if math.Abs(ab) > sd*other*(1+1e-9) {
			t.Errorf("covariance %g of uncertainties %g and %g", ab, sd, other)
		}
	}
}

func TestRegressRefuses(t *testing.T) {
	x, y := []float64{0, 1, 2, 3, 4, 5}, []float64{0, 1, 2, 4, 5, 6}
	with := func(v []float64, i int, to float64) []float64 {
		c := append([]float64(nil), v...)
		c[i] = to
		return c
	}
	var pe *PointError
	for name, c := range map[string]struct {
		x, y, w []float64
		want    error // nil: a *PointError
	}{
		"few":      {x[:5], y[:5], nil, ErrTooFewReadings},
		"places":   {[]float64{1, 1, 1, 2, 2, 3}, y, nil, ErrTooFewReadings},
		"level":    {x, []float64{3, 3, 3, 3, 3, 3}, nil, ErrLevel},
		"NaN":      {x, with(y, 2, math.NaN()), nil, nil},
		"infinite": {with(x, 2, math.Inf(1)), y, nil, nil},
		"weight":   {x, y, []float64{1, 1, 1, 1, 1, -1}, nil},
	} {
		_, err := Regress(c.x, c.y, c.w, nil)
		if err == nil || c.want != nil && !errors.Is(err, c.want) || c.want == nil && !errors.As(err, &pe) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if _, err := Regress(x, y[:5], nil, nil); err == nil {
		t.Error("different lengths accepted")
	}
	r := mustRegress(t, x, y)
	var re *RangeError
	_, errSD := r.SD(5.1)
	_, errSlope := r.Slope(math.NaN())
	_, errCov := r.Covariance(1, -1)
	_, errValue := r.Value(-0.1)
	for _, err := range []error{errSD, errSlope, errCov, errValue} {
		if !errors.As(err, &re) {
			t.Errorf("outside the domain: %v", err)
		}
	}
}

func BenchmarkRegress(b *testing.B) {
	x, y := simulate(trueCurves["kinked"], rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		mustRegress(b, x, y)
	}
}
