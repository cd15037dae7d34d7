package monotone

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"actinic/testdata/vectors"
)

// R 4.2.2 stats::isoreg (the ?isoreg example, and ten invented points) and
// scikit-learn 1.2.1 IsotonicRegression with weights.
func TestIsotonicAgainstRAndScikit(t *testing.T) {
	for _, c := range []struct {
		file, fit string
		weighted  bool
	}{
		{"isoreg_rhelp.csv", "yf", false}, {"isoreg_10pt.csv", "yf", false}, {"isotonic_weighted.csv", "fit", true},
	} {
		v := vectors.Read(t, c.file)
		var w []float64
		if c.weighted {
			w = v.Floats("w")
		}
		got, err := Isotonic(v.Floats("y"), w, Increasing)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range v.Floats(c.fit) {
			near(t, c.file, got[i], want, 1e-12)
		}
	}
}

// The Karush-Kuhn-Tucker conditions of the least-squares problem: ordered;
// the sums of w(y-fit) from the left never positive; zero where the fit rises
// and over the whole (Barlow et al. 1972, from memory).
func TestIsotonicConditions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-10, 10), 1, 30).Draw(t, "y")
		w := rapid.SliceOfN(rapid.Float64Range(0.1, 10), len(y), len(y)).Draw(t, "w")
		d := rapid.SampledFrom([]Direction{Increasing, Decreasing}).Draw(t, "direction")
		fit, err := Isotonic(y, w, d)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for i := range y {
			sum += d.sign() * w[i] * (y[i] - fit[i])
			if sum < -1e-9 {
				t.Fatalf("sum of residuals %g to value %d", sum, i)
			}
			last := i == len(y)-1
			if !last && d.sign()*(fit[i+1]-fit[i]) < 0 {
				t.Fatalf("turns back after value %d", i)
			}
			if (last || fit[i+1] != fit[i]) && math.Abs(sum) > 1e-9 {
				t.Fatalf("residuals to the end of a block at %d sum to %g", i, sum)
			}
		}
	})
}

func TestIsotonicRefuses(t *testing.T) {
	var pe *PointError
	if _, err := Isotonic([]float64{1, math.NaN()}, nil, Increasing); !errors.As(err, &pe) || pe.Index != 1 {
		t.Errorf("NaN: %v", err)
	}
	if _, err := Isotonic([]float64{1, 2}, []float64{0, 1}, Increasing); !errors.As(err, &pe) || pe.Index != 0 {
		t.Errorf("zero weight: %v", err)
	}
	if _, err := Isotonic([]float64{1, 2}, []float64{1}, Increasing); err == nil {
		t.Error("missing weight accepted")
	}
	if fit, err := Isotonic(nil, nil, Increasing); err != nil || len(fit) != 0 {
		t.Errorf("nothing: %v %v", fit, err)
	}
}

func BenchmarkIsotonic(b *testing.B) {
	y := make([]float64, 1000)
	for i := range y {
		y[i] = float64(i) + 200*math.Sin(float64(i))
	}
	for b.Loop() {
		if _, err := Isotonic(y, nil, Increasing); err != nil {
			b.Fatal(err)
		}
	}
}
