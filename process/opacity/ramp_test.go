package opacity

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
)

// A ramp without a correction is the typical coverage model. Its slope is held
// at 201 nodes and runs straight between them, which adds h²/12 times the change
// of the slope's derivative to the integral (trapezoidal rule): 2.5e-5 at most,
// by hand, with h = 0.005 and a derivative that grows from 0.3 to 12.2.
func TestPlainRampIsTheTypicalCoverage(t *testing.T) {
	r := NewRamp(make([]float64, Parameters()))
	for ink := 0.0; ink <= 100; ink += 2.5 {
		want, err := typical.UVDensity(ink)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "UV density", float64(r.UVDensity(ink)), float64(want), 2.6e-5)
	}
}

// Scale multiplies all densities.
func TestRampScale(t *testing.T) {
	p := make([]float64, Parameters())
	plain := NewRamp(p)
	p = append([]float64(nil), p...)
	p[0] = math.Log(2.5)
	for ink := 5.0; ink <= 100; ink += 5 {
		near(t, "scaled", float64(NewRamp(p).UVDensity(ink)), 2.5*float64(plain.UVDensity(ink)), 1e-12)
	}
}

// jumpy is a parameter vector with slopes that jump by as much as a factor of
// twenty, as where a printer switches inks.
func jumpy(seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 2))
	p := make([]float64, Parameters())
	p[0], p[1] = 0.8*rng.NormFloat64(), rng.NormFloat64()
	level := 0.0
	for j := range p[trendAt:] {
		if j == 9 || j == 17 {
			level = 3 * (2*rng.Float64() - 1)
		}
		p[trendAt+j] = level + 0.2*rng.NormFloat64()
	}
	return p
}

func TestRampDerivatives(t *testing.T) {
	p := jumpy(1)
	got := make([]float64, Parameters())
	for _, ink := range []float64{0, 0.2, 13, 36, 50, 67.99, 99.9, 100} {
		NewRamp(p).Sensitivity(ink, got)
		for k := range p {
			const h = 1e-5
			up, down := append([]float64(nil), p...), append([]float64(nil), p...)
			up[k] += h
			down[k] -= h
			want := float64(NewRamp(up).UVDensity(ink)-NewRamp(down).UVDensity(ink)) / (2 * h)
			near(t, "sensitivity", got[k], want, 1e-8)
		}
	}
	r := NewRamp(p)
	for ink := 0.26; ink < 100; ink += 3.1 { // off the nodes, where the slope bends
		near(t, "slope", r.Slope(ink), float64(r.UVDensity(ink+1e-4)-r.UVDensity(ink-1e-4))/2e-4, 1e-7)
	}
}

func TestRampProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := NewRamp(jumpy(rapid.Uint64().Draw(t, "seed")))
		if r.UVDensity(0) != 0 {
			t.Fatalf("clear film has UV density %g", r.UVDensity(0))
		}
		ink := rapid.Float64Range(0, 99.9).Draw(t, "ink")
		d := r.UVDensity(ink)
		if !(r.UVDensity(ink+0.1) > d) || !(r.Slope(ink) > 0) {
			t.Fatalf("does not rise at %g %%", ink)
		}
		back, err := r.Ink(d)
		if err != nil || math.Abs(back-ink) > 1e-7 {
			t.Fatalf("ink %g comes back as %g, %v", ink, back, err)
		}
	})
}

func TestRampOutOfRange(t *testing.T) {
	r := NewRamp(jumpy(4))
	full := r.UVDensity(100)
	if ink, err := r.Ink(full); err != nil || math.Abs(ink-100) > 1e-9 {
		t.Errorf("full ink comes back as %g, %v", ink, err)
	}
	var rangeError *RangeError
	for _, d := range []density.Density{-1e-9, full + 1e-9, density.Density(math.NaN())} {
		if _, err := r.Ink(d); !errors.As(err, &rangeError) || rangeError.High != float64(full) {
			t.Errorf("UV density %g: %v", d, err)
		}
	}
}
