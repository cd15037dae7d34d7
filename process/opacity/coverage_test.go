package opacity

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
	"actinic/testdata/vectors"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

// The n = 1 column is Murray-Davies; values of ten digits, computed in double
// precision with Python from the published formula.
func TestDotAreaVectors(t *testing.T) {
	v := vectors.Read(t, "murray_davies_yule_nielsen.csv")
	for i := range v.Rows {
		solid, tint, want := density.Density(v.Float(i, "D_solid")), density.Density(v.Float(i, "D_tint")), v.Float(i, "a_n1")
		near(t, "dot area", DotArea(tint, solid), want, 6e-11)
		near(t, "density of the area", float64(AreaDensity(want, solid)), float64(tint), 1e-9)
	}
}

// Columns Dink... of the file: D = -log10(a 10^-Dink + 1 - a), ten digits.
func TestCoverageDensityVectors(t *testing.T) {
	v := vectors.Read(t, "coverage_density.csv")
	areas := v.Floats("a")
	for _, name := range v.Header {
		solid, err := strconv.ParseFloat(strings.TrimPrefix(name, "Dink"), 64)
		if err != nil {
			continue // area, and Yule-Nielsen columns
		}
		for i, want := range v.Floats(name) {
			near(t, "area density", float64(AreaDensity(areas[i], density.Density(solid))), want, 6e-10)
			d, err := Coverage{Solid: density.Density(solid)}.UVDensity(100 * areas[i])
			if err != nil {
				t.Fatal(err)
			}
			near(t, "UV density without gain", float64(d), want, 6e-10)
		}
	}
}

// By hand: through an area of which a share c stays clear passes at least c of
// the light, so that its density is below -log10 c: pinholes of 1 % hold ink of
// density 3 to -log10(0.01 + 0.99 x 0.001) = 1.959, those of 0.1 % to 2.699.
func TestPinholes(t *testing.T) {
	near(t, "1 % clear under density 3", float64(AreaDensity(0.99, 3)), 1.959, 5e-4)
	near(t, "0.1 % clear under density 3", float64(AreaDensity(0.999, 3)), -math.Log10(0.001+0.999e-3), 1e-12)
	for _, solid := range []density.Density{2, 3, 6, 20} {
		if d := AreaDensity(0.99, solid); d >= 2 {
			t.Errorf("1 %% clear under density %g gives %g, over 2", solid, d)
		}
	}
}

// Gain is the extra area at half coverage, and none at the ends.
func TestGain(t *testing.T) {
	for _, gain := range []float64{-0.24, -0.1, 0, 0.14, 0.22, 0.24} {
		c := Coverage{Solid: 2, Gain: gain}
		near(t, "area at 0 %", c.Area(0), 0, 0)
		near(t, "area at 50 %", c.Area(50), 0.5+gain, 1e-15)
		near(t, "area at 100 %", c.Area(100), 1, 1e-15)
		d, err := c.UVDensity(50)
		near(t, "density at 50 %", float64(d), -math.Log10((0.5+gain)*0.01+0.5-gain), 1e-12)
		if err != nil {
			t.Error(err)
		}
	}
}

func TestCoverageProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Coverage{Solid: density.Density(rapid.Float64Range(0.05, 3.5).Draw(t, "solid")),
			Gain: rapid.Float64Range(-0.24, 0.24).Draw(t, "gain")}
		ink := rapid.Float64Range(0, 99).Draw(t, "ink")
		d, err := c.UVDensity(ink)
		more, err2 := c.UVDensity(ink + 1)
		if err != nil || err2 != nil || !(more > d) || d < 0 || more > c.Solid+1e-9 {
			t.Fatalf("UV density %g, %v at %g %%, %g, %v one per cent further", d, err, ink, more, err2)
		}
		back, err := c.Ink(d)
		if err != nil || math.Abs(back-ink) > 1e-6 {
			t.Fatalf("ink %g comes back as %g, %v", ink, back, err)
		}
	})
}

// The log slope that a Ramp starts from is that of the coverage model.
func TestCoverageLogSlope(t *testing.T) {
	for _, c := range []Coverage{{Solid: 0.8}, {Solid: 2, Gain: 0.2}, {Solid: 1.3, Gain: -0.2}} {
		for u := 0.01; u < 1; u += 0.07 {
			const h = 1e-6
			up, down := AreaDensity(c.Area(100*(u+h)), c.Solid), AreaDensity(c.Area(100*(u-h)), c.Solid)
			near(t, "log slope", c.logSlope(u), math.Log(float64(up-down)/(2*h)), 1e-7)
		}
	}
}

func TestCoverageOutOfRange(t *testing.T) {
	c := Coverage{Solid: 1.5, Gain: 0.1}
	var rangeError *RangeError
	for _, ink := range []float64{-0.001, 100.001, math.NaN(), math.Inf(1)} {
		if _, err := c.UVDensity(ink); !errors.As(err, &rangeError) || rangeError.High != 100 {
			t.Errorf("ink %g: %v", ink, err)
		}
	}
	for _, d := range []density.Density{-0.001, 1.501, density.Density(math.NaN())} {
		if _, err := c.Ink(d); !errors.As(err, &rangeError) || rangeError.High != 1.5 {
			t.Errorf("UV density %g: %v", d, err)
		}
	}
	_, err := c.Ink(2)
	if err == nil || err.Error() != "UV density 2 is outside 0 to 1.5" {
		t.Errorf("message %q", err)
	}
}
