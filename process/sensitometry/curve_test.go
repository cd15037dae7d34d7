package sensitometry

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
)

// bent is a form with a correction.
func bent(seed uint64, logAsymmetry float64, falling bool) ([]float64, *Form) {
	rng := rand.New(rand.NewPCG(seed, 3))
	p := make([]float64, FormParameters(tabletGrid))
	p[0], p[1], p[2] = rng.NormFloat64(), math.Log(4)+0.3*rng.NormFloat64(), logAsymmetry
	for j := range p[formScalars:] {
		p[formScalars+j] = 0.6 * rng.NormFloat64()
	}
	return p, NewForm(tabletGrid, p, falling)
}

func TestFormDerivatives(t *testing.T) {
	for seed, logAsymmetry := range []float64{-6, -2, 0, 1.5, 4, 8} {
		for _, falling := range []bool{false, true} {
			p, f := bent(uint64(seed), logAsymmetry, falling)
			got := make([]float64, len(p))
			for _, x := range []float64{-3.6, -3.05, -1.9, -1, -0.4, 0, 0.9} {
				share, byX := f.Sensitivity(x, got)
				near(t, "share", share, f.Share(density.LogExposure(x)), 0)
				const h = 1e-6
				near(t, "gradient", f.Gradient(density.LogExposure(x)), byX, 1e-12)
				near(t, "by log exposure", f.Gradient(density.LogExposure(x)),
					(f.Share(density.LogExposure(x+h))-f.Share(density.LogExposure(x-h)))/(2*h), 2e-4)
				for k := range p {
					moved := func(h float64) float64 {
						q := append([]float64(nil), p...)
						q[k] += h
						return NewForm(tabletGrid, q, falling).Share(density.LogExposure(x))
					}
					near(t, "by a parameter", got[k], (moved(h)-moved(-h))/(2*h), 1e-8)
				}
			}
		}
	}
}

// Richards' function, its derivatives and its inverse stay finite and right
// from an exponential start (small exponents) to a sharp corner (large ones).
func TestRichards(t *testing.T) {
	for logNu := -6.0; logNu <= 8; logNu += 0.5 {
		near(t, "share at 0", first(richards(0, logNu)), 0.5, 1e-12)
		for _, z := range []float64{-700, -40, -8, -1, -0.01, 0, 0.3, 5, 30, 700} {
			share, byZ, byLogNu := richards(z, logNu)
			if !(share >= 0 && share <= 1 && byZ >= 0) || math.IsNaN(byLogNu) || math.IsInf(byLogNu, 0) {
				t.Errorf("z %g, log exponent %g: %g, %g, %g", z, logNu, share, byZ, byLogNu)
			}
			const h = 1e-5
			near(t, "by z", byZ, (first(richards(z+h, logNu))-first(richards(z-h, logNu)))/(2*h), 1e-7)
			near(t, "by log exponent", byLogNu, (first(richards(z, logNu+h))-first(richards(z, logNu-h)))/(2*h), 1e-7)
		}
		for _, s := range []float64{1e-9, 0.03, 0.5, 0.9, 0.97, 1 - 1e-9} {
			near(t, "share of the inverse", first(richards(richardsInverse(s, logNu), logNu)), s, 1e-9)
		}
	}
	// log exponent 0 is the logistic.
	for z := -9.0; z < 9; z += 0.7 {
		near(t, "logistic", first(richards(z, 0)), 1/(1+math.Exp(-z)), 1e-15)
	}
}

func first(share, _, _ float64) float64 { return share }

func TestFormProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		falling := rapid.Bool().Draw(t, "falling")
		_, f := bent(rapid.Uint64().Draw(t, "seed"), rapid.Float64Range(-2, 2).Draw(t, "log asymmetry"), falling)
		x := density.LogExposure(rapid.Float64Range(-3.4, 0.7).Draw(t, "x"))
		s, next := f.Share(x), f.Share(x+0.05)
		if !(s >= 0 && s <= 1) || (next < s) != (falling && next != s) {
			t.Fatalf("share %g at %g, %g further on, falling %v", s, x, next, falling)
		}
		if s < 1e-6 || s > 1-1e-6 {
			return // too flat to invert in double precision
		}
		if back := f.Exposure(s); math.Abs(float64(back-x)) > 1e-6 {
			t.Fatalf("exposure %g comes back as %g", x, back)
		}
	})
}

// The worked example of the trade: a trial of 8 min whose step 3 (density 0.35)
// is black and whose step 4 (0.50) is not reaches black between 2.5 and 3.6 min.
func TestFirstBlack(t *testing.T) {
	near(t, "step 4", FirstBlack(8, -0.50), 2.5, 0.05)
	near(t, "step 3", FirstBlack(8, -0.35), 3.6, 0.05)
	near(t, "density 1.9 for 1.5", FirstBlack(12, 0.4), 30, 0.2) // 12 s become 30 s (Clerc)
}

func TestReadByEye(t *testing.T) {
	var steps []density.Density
	for i := range 21 {
		steps = append(steps, density.Density(0.05+0.15*float64(i)))
	}
	eye, err := ReadByEye(steps, 3, 14)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "range", eye.ExposureScale, 11*0.15, 1e-12)
	if black := FirstBlack(8, density.LogExposure(eye.FirstBlackShift)); black < 2.5 || black > 3.6 {
		t.Errorf("first black %g min, want 2.5 to 3.6", black)
	}
	// A doubt of half a step beside an even spread over one: sqrt(1/12 + 1/4) of 0.15.
	near(t, "doubt of black", eye.BlackSD, 0.15/math.Sqrt(3), 1e-12)
	near(t, "doubt of the range", eye.ScaleSD, 0.15*math.Sqrt(2.0/3), 1e-12)
	near(t, "increment", eye.Increment, 0.15, 1e-12)
	if last, err := ReadByEye(steps, 20, 21); err != nil || math.Abs(last.ExposureScale-0.15) > 1e-12 {
		t.Errorf("last steps: %+v, %v", last, err)
	}
	for _, bad := range [][2]int{{0, 5}, {-1, 5}, {5, 5}, {6, 5}, {3, 22}, {21, 22}} {
		if _, err := ReadByEye(steps, bad[0], bad[1]); err == nil {
			t.Errorf("steps %v were taken", bad)
		}
	}
}
