package darkroom

import (
	"math"
	"testing"

	"actinic/process/density"
)

func levels(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 100 * float64(i) / float64(n-1)
	}
	return out
}

func TestRampReadingsWithoutNoiseAreTheTruth(t *testing.T) {
	s := NewSetup(3, SoftCorners, Kinked)
	got := s.RampReadings(levels(11), 2, Print{}, Noise{}, Random(1, 0))
	if len(got) != 22 {
		t.Fatalf("%d readings, want 22", len(got))
	}
	ids := map[string]bool{}
	for _, r := range got {
		ids[r.ID] = true
		if math.Abs(float64(r.Lightness-s.PrintLightness(r.Ink))) > 1e-12 {
			t.Errorf("%s: %v, truth %v", r.ID, r.Lightness, s.PrintLightness(r.Ink))
		}
		if !math.IsNaN(float64(r.Tablet)) || r.Spoiled {
			t.Errorf("%s: tablet %v, spoiled %v", r.ID, r.Tablet, r.Spoiled)
		}
	}
	if len(ids) != 22 || !ids["A1"] || !ids["B11"] {
		t.Errorf("IDs are not A1 to B11, each once: %v", ids)
	}
}

func TestReadingNoiseHasTheGivenSize(t *testing.T) {
	s := NewSetup(4, Probit, Smooth)
	steps := make([]density.Density, 4000)
	for i := range steps {
		steps[i] = 0.5
	}
	for name, c := range map[string]struct {
		noise Noise
		value func(Reading) float64
		want  float64
	}{
		"lightness": {Noise{LightnessSD: 0.5}, func(r Reading) float64 { return float64(r.Lightness) }, 0.5},
		"density":   {Noise{DensitySD: 0.01}, func(r Reading) float64 { return float64(r.Density()) }, 0.01},
	} {
		values := []float64{}
		for _, r := range s.TabletReadings(steps, Print{}, c.noise, Random(5, 0)) {
			values = append(values, c.value(r))
		}
		// 4000 draws settle a standard deviation to 1.1 %; five of those.
		if got := deviation(values); math.Abs(got/c.want-1) > 0.056 {
			t.Errorf("%s: standard deviation %v, want %v", name, got, c.want)
		}
	}
}

func deviation(values []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, v := range values {
		sum += v
	}
	mean := sum / float64(len(values))
	for _, v := range values {
		squares += (v - mean) * (v - mean)
	}
	return math.Sqrt(squares / float64(len(values)-1))
}

func TestSpoiledPatchesAreMarkedAndStand(t *testing.T) {
	s := NewSetup(6, Photochemical, Warped)
	spoiled := 0
	for _, r := range s.RampReadings(levels(41), 50, Print{}, Noise{SpoiledShare: 0.1}, Random(2, 0)) {
		off := math.Abs(float64(r.Lightness - s.PrintLightness(r.Ink)))
		if !r.Spoiled && off > 1e-12 {
			t.Fatalf("%s is off by %v and not marked", r.ID, off)
		}
		if r.Spoiled {
			spoiled++
		}
	}
	// 2050 patches at one in ten: 205, give or take 14; five of those.
	if spoiled < 137 || spoiled > 273 {
		t.Errorf("%d of 2050 patches spoiled, want about 205", spoiled)
	}
}

func TestSameSeedSameReadings(t *testing.T) {
	s := NewSetup(9, Probit, Warped)
	n := Noise{LightnessSD: 0.5, SpoiledShare: 0.05}
	a := s.RampReadings(levels(21), 2, Print{}, n, Random(3, 0))
	b := s.RampReadings(levels(21), 2, Print{}, n, Random(3, 0))
	for i := range a {
		if a[i].Lightness != b[i].Lightness {
			t.Fatalf("%s: %v and %v", a[i].ID, a[i].Lightness, b[i].Lightness)
		}
	}
}

func TestPrintsDiffer(t *testing.T) {
	eachSetup(t, func(t *testing.T, s *Setup) {
		x := density.LogExposure(-0.6)
		same(t, s, "offset", float64(s.PrintDensityOn(Print{Offset: 0.1}, x)), float64(s.PrintDensity(x+0.1)))
		middle := s.exposureFor(s.netShare(0.5))
		same(t, s, "contrast's pivot", float64(s.PrintDensityOn(Print{Contrast: 0.05}, middle)), float64(s.PrintDensity(middle)))
		same(t, s, "paper", float64(s.PrintDensityOn(Print{PaperShift: 0.02}, -20)), s.paper+0.02)
		same(t, s, "maximum", float64(s.PrintDensityOn(Print{MaximumShift: -0.05}, 20)), s.maximum-0.05)
	})
}

func TestReversalTurnsTheMostExposedEnd(t *testing.T) {
	s := NewSetup(2, Probit, Smooth)
	p := Print{ReversalLoss: 0.6, ReversalFrom: s.FirstBlack()}
	if s.PrintDensityOn(p, s.FirstBlack()+0.3) >= s.PrintDensityOn(p, s.FirstBlack()+0.1) {
		t.Error("density still rises past the reversal")
	}
	x := s.FirstBlack() - 0.5
	if d := s.PrintDensity(x) - s.PrintDensityOn(p, x); d < 0 || d > 1e-6 {
		t.Errorf("reversal costs %v far before it", d)
	}
}
