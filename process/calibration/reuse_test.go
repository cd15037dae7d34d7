package calibration

import (
	"math"
	"strings"
	"testing"

	"actinic/process/density"
	"actinic/process/opacity"
)

// The usual mismatch against the proxies of lamps and sensitisers: an ink that loses
// 0.7 % of its density a nanometre. Iron salts and dichromate see it alike to 1 %
// under every narrow lamp, iron and silver to the sd or a little more up to 385 nm,
// to twice that at 395 and 405; daylight is past it.
func TestMismatchCoversSensitisers(t *testing.T) {
	t.Parallel()
	ink := opacity.Spectrum{Name: "falling"}
	for nm := 280.0; nm <= 520; nm += 2 {
		ink.WavelengthsNM = append(ink.WavelengthsNM, nm)
		ink.Values = append(ink.Values, math.Pow(10, -1.5*math.Exp(-0.007*(nm-370))))
	}
	seen := func(lamp, sensitiser string) float64 {
		l, err := opacity.FindLamp(lamp)
		if err != nil {
			t.Fatal(err)
		}
		s, err := opacity.FindSensitiser(sensitiser)
		if err != nil {
			t.Fatal(err)
		}
		light, err := opacity.NewLight(l, s)
		if err != nil {
			t.Fatal(err)
		}
		d, err := light.UVDensity(opacity.Film{}, ink)
		if err != nil {
			t.Fatal(err)
		}
		return float64(d.UVDensity)
	}
	for _, c := range []struct {
		lamp, other string
		low, high   float64
	}{
		{"led:365", "dichromate", 0, 0.01}, {"led:385", "dichromate", 0, 0.01}, {"led:405", "dichromate", 0, 0.01},
		{"tube:350", "dichromate", 0, 0.01}, {"tube:370", "citrate", 0, 0.01}, {"led:395", "citrate", 0, 0.01},
		{"led:365", "silver", 0, Mismatch}, {"tube:370", "silver", 0.005, Mismatch}, {"led:385", "silver", 0.005, Mismatch},
		{"tube:350", "silver", 0.005, 1.2 * Mismatch}, {"led:395", "silver", Mismatch / 2, 2 * Mismatch}, {"led:405", "silver", Mismatch / 2, 2 * Mismatch},
		{"d65", "silver", 3 * Mismatch, 1},
	} {
		off := math.Abs(seen(c.lamp, c.other)/seen(c.lamp, "ferric") - 1)
		t.Logf("%s: %s sees the ink %.1f %% off what iron salts see", c.lamp, c.other, 100*off)
		if off < c.low || off > c.high {
			t.Errorf("%s: %s sees the ink %.3f off what iron salts see, want %.3f to %.3f", c.lamp, c.other, off, c.low, c.high)
		}
	}
}

// reuseScene is an ink seen on one paper, and the tablet of another.
func reuseScene(t *testing.T, x0 float64) (*Calibration, *Estimate) {
	t.Helper()
	s := darkroomScene()
	other := build(t, s.fit(t, 1), Request{})
	s.paper.x0, s.levels = x0, 0
	return other, s.fit(t, 2)
}

// A stated mismatch widens the doubt of the middle tone as its share of UV density
// through the curve's gradient does (GUM 5.1), and moves nothing.
func TestStatedMismatch(t *testing.T) {
	t.Parallel()
	other, e := reuseScene(t, -1.15)
	c, err := e.Reuse(other, Request{Aim: AimLightness})
	if err != nil {
		t.Fatal(err)
	}
	wide, err := e.Reuse(other, Request{Aim: AimLightness, Mismatch: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	middle := len(c.Curve.Ink) / 2
	if c.Curve.Ink[middle] != wide.Curve.Ink[middle] {
		t.Errorf("the mismatch moves film ink from %g to %g", c.Curve.Ink[middle], wide.Curve.Ink[middle])
	}
	uv := c.Curve.UVDensity[middle]
	x := -density.LogExposure(uv)
	byX := -e.Curve().Density(x).LightnessSlope() * e.Curve().Gradient(x)
	more := math.Sqrt(math.Pow(wide.Curve.ToneSD[middle], 2) - math.Pow(c.Curve.ToneSD[middle], 2))
	near(t, "doubt added", more, byX*uv*math.Sqrt(0.1*0.1-Mismatch*Mismatch), 1e-6)
}

// The curve uses no ink that the other print did not see, and says what is missing.
// By hand: paper white lies at 1.15 + ln(1.4/0.04-1)/4 = 2.03 there and 0.5 more here.
func TestReuseDoesNotExtrapolate(t *testing.T) {
	t.Parallel()
	other, e := reuseScene(t, -1.65)
	c, err := e.Reuse(other, Request{Aim: AimLightness})
	if err != nil {
		t.Fatal(err)
	}
	most := other.inkReach()
	if used := c.inkReach(); used > most+1e-9 || used < most-0.5 {
		t.Errorf("%.2f %% film ink, seen up to %.2f %%", used, most)
	}
	text := strings.Join(c.Cautions, "\n")
	if !strings.Contains(text, "Paper white needs a UV density of 2.5") || !strings.Contains(text, "seen up to 2.0") || !strings.Contains(text, "Highlights stop at") {
		t.Errorf("cautions %q", c.Cautions)
	}
	_, e = reuseScene(t, -0.9)
	if c, err = e.Reuse(other, Request{Aim: AimLightness}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(strings.Join(c.Cautions, "\n"), "seen up to") {
		t.Errorf("a slower paper is cautioned: %q", c.Cautions)
	}
}
