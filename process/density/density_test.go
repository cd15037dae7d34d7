package density_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	. "actinic/process/density"
	"actinic/testdata/vectors"
)

// near compares to the ten digits that the tables print.
func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.IsInf(want, 1) && math.IsInf(got, 1) {
		return
	}
	if !(math.Abs(got-want) <= 1e-9*max(1e-3, math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// CIE 15:2018, ISO/CIE 11664-4 with exact constants.
func TestDensityToLightness(t *testing.T) {
	v := vectors.Read(t, "density_lstar.csv")
	for i := range v.Rows {
		d := Density(v.Float(i, "D"))
		near(t, "reflectance", float64(d.Reflectance()), v.Float(i, "T_or_R"))
		near(t, "opacity", 1/float64(d.Reflectance()), v.Float(i, "opacity"))
		near(t, "L*", float64(d.Lightness()), v.Float(i, "Lstar"))
	}
}

func TestLightnessToDensity(t *testing.T) {
	v := vectors.Read(t, "lstar_density.csv")
	for i := range v.Rows {
		l := Lightness(v.Float(i, "Lstar"))
		near(t, "reflectance", float64(l.Reflectance()), v.Float(i, "Y"))
		near(t, "density", float64(l.Density()), v.Float(i, "D"))
	}
}

// The linear values of 8-bit codes of IEC 61966-2-1:1999, with L* and density.
func TestReflectanceOfCodes(t *testing.T) {
	v := vectors.Read(t, "srgb8_decode.csv")
	for i := range v.Rows {
		r := Reflectance(v.Float(i, "linear"))
		// The linear value is printed to ten digits, so L* is known to as many.
		if got, want := float64(r.Lightness()), v.Float(i, "Lstar"); math.Abs(got-want) > 2e-8 {
			t.Errorf("code %s: L* %.10g, want %.10g", v.Cell(i, "code"), got, want)
		}
		if got, want := float64(r.Density()), v.Float(i, "D"); got != want && math.Abs(got-want) > 2e-9 {
			t.Errorf("code %s: density %.10g, want %.10g", v.Cell(i, "code"), got, want)
		}
	}
}

// -89.03 x 10^(-D/3) above the cut, to its printed digits.
func TestLightnessSlope(t *testing.T) {
	for _, c := range []struct{ d, want, tol float64 }{{0, -89.03, .005}, {1, -41.3, .05}, {2, -19.2, .05}} {
		if got := Density(c.d).LightnessSlope(); math.Abs(got-c.want) > c.tol {
			t.Errorf("slope at %g = %g, want %g", c.d, got, c.want)
		}
	}
}

func TestSlopeIsDerivative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, h := rapid.Float64Range(0, 4).Draw(t, "d"), 1e-5
		if cut := 2.0527402; math.Abs(d-cut) < 2*h {
			return // the slope has a corner where cube root and line meet
		}
		want := float64(Density(d+h).Lightness()-Density(d-h).Lightness()) / (2 * h)
		if got := Density(d).LightnessSlope(); math.Abs(got-want) > 1e-5 {
			t.Fatalf("slope at %g = %g, difference quotient %g", d, got, want)
		}
	})
}

func TestInverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(-0.5, 6).Draw(t, "d")
		if got := Density(d).Reflectance().Density(); math.Abs(float64(got)-d) > 1e-13 {
			t.Fatalf("through reflectance: %g became %g", d, got)
		}
		if got := Density(d).Lightness().Density(); math.Abs(float64(got)-d) > 1e-12 {
			t.Fatalf("through L*: %g became %g", d, got)
		}
	})
}

func TestDenserIsDarker(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 6).Draw(t, "a")
		b := a + rapid.Float64Range(1e-9, 1).Draw(t, "more")
		if !(Density(b).Lightness() < Density(a).Lightness()) || !(Density(b).Reflectance() < Density(a).Reflectance()) {
			t.Fatalf("density %g is not darker than %g", b, a)
		}
	})
}

func TestOutsideTheRange(t *testing.T) {
	if d := Lightness(0).Density(); !math.IsInf(float64(d), 1) {
		t.Errorf("L* 0 has density %g, want +Inf", d)
	}
	if d := Lightness(101).Density(); d >= 0 {
		t.Errorf("L* 101 has density %g, want below 0", d)
	}
	if d := Reflectance(-0.1).Density(); !math.IsNaN(float64(d)) {
		t.Errorf("a negative reflectance has density %g, want NaN", d)
	}
	if math.Abs(Stop-math.Log10(2)) > 1e-15 {
		t.Errorf("Stop = %g", Stop)
	}
}
