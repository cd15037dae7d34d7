package darkroom

import (
	"math"
	"testing"

	"actinic/process/density"
)

const seeds = 60

// eachSetup runs check on many setups of every family and kind.
func eachSetup(t *testing.T, check func(t *testing.T, s *Setup)) {
	t.Helper()
	for _, f := range Families {
		for _, k := range RampKinds {
			t.Run(f.String()+"/"+k.String(), func(t *testing.T) {
				for seed := range uint64(seeds) {
					check(t, NewSetup(seed, f, k))
				}
			})
		}
	}
}

func TestPrintDensityRises(t *testing.T) {
	eachSetup(t, func(t *testing.T, s *Setup) {
		last := s.PrintDensity(-4.01)
		for x := -4.0; x <= 0.3; x += 0.01 {
			d := s.PrintDensity(density.LogExposure(x))
			net := float64(d) - s.paper
			working := net > 1e-9 && float64(d) < s.maximum-1e-9
			if d < last || working && d == last {
				t.Fatalf("seed %d: density %v at %v, %v a step before", s.seed, d, x, last)
			}
			if net < 0 || float64(d) > s.maximum+1e-12 {
				t.Fatalf("seed %d: density %v outside %v to %v", s.seed, d, s.paper, s.maximum)
			}
			last = d
		}
	})
}

func TestUVDensityRises(t *testing.T) {
	eachSetup(t, func(t *testing.T, s *Setup) {
		if s.UVDensity(0) != 0 {
			t.Fatalf("seed %d: clear film has UV density %v", s.seed, s.UVDensity(0))
		}
		if got := s.UVDensity(100); math.Abs(float64(got-s.InkRange())) > 1e-12 {
			t.Fatalf("seed %d: full ink %v, ink range %v", s.seed, got, s.InkRange())
		}
		last := s.UVDensity(0)
		for i := 1; i <= 1000; i++ {
			d := s.UVDensity(float64(i) / 10)
			if d <= last {
				t.Fatalf("seed %d: UV density %v at %v %%, %v before", s.seed, d, float64(i)/10, last)
			}
			last = d
		}
	})
}

// The ranges promised by NewSetup, and what the words of the design mean.
func TestTruthsAgree(t *testing.T) {
	eachSetup(t, func(t *testing.T, s *Setup) {
		within(t, s, "paper density", float64(s.PaperDensity()), 0.05, 0.12)
		within(t, s, "maximum density", float64(s.MaximumDensity()), 1.1, 1.9)
		within(t, s, "exposure scale", float64(s.ExposureScale()), 0.9-1e-9, 2.4+1e-9)
		within(t, s, "first black", float64(s.FirstBlack()), -0.15-1e-9, 1e-9)
		within(t, s, "ink range / needed range", float64(s.InkRange())/float64(s.NeededRange()), 0.95, 1.6)
		if s.NeededRange() <= s.ExposureScale() {
			t.Fatalf("seed %d: needed range %v not longer than exposure scale %v", s.seed, s.NeededRange(), s.ExposureScale())
		}
		net := float64(s.MaximumDensity() - s.PaperDensity())
		same(t, s, "density at white", float64(s.PrintDensity(s.White())), float64(s.PaperDensity())+0.04)
		same(t, s, "density at first black", float64(s.PrintDensity(s.FirstBlack())), float64(s.PaperDensity())+0.97*net)
		same(t, s, "density at the end of the scale", float64(s.PrintDensity(s.White()+s.ExposureScale())), float64(s.PaperDensity())+0.9*net)
		same(t, s, "print under ink", float64(s.PrintLightness(35)), float64(s.TabletPrint(s.UVDensity(35)).Lightness()))
	})
}

func within(t *testing.T, s *Setup, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Fatalf("seed %d: %s is %v, not within %v to %v", s.seed, what, got, low, high)
	}
}

func same(t *testing.T, s *Setup, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 1e-9) {
		t.Fatalf("seed %d: %s is %v, want %v", s.seed, what, got, want)
	}
}

func TestInkForIsInverse(t *testing.T) {
	eachSetup(t, func(t *testing.T, s *Setup) {
		for ink := 2.0; ink < 100; ink += 7 {
			got, ok := s.InkFor(s.PrintLightness(ink))
			if !ok {
				t.Fatalf("seed %d: no ink prints as ink %v does", s.seed, ink)
			}
			back := s.PrintLightness(got)
			if math.Abs(float64(back-s.PrintLightness(ink))) > 1e-9 {
				t.Fatalf("seed %d: ink %v gave back %v, %v", s.seed, ink, got, ok)
			}
		}
		if ink, ok := s.InkFor(s.PrintLightness(0) - 0.1); ok || !math.IsNaN(ink) {
			t.Fatalf("seed %d: darker than clear film gave ink %v", s.seed, ink)
		}
	})
}

func TestSameSeedSameSetup(t *testing.T) {
	a, b := NewSetup(7, Photochemical, Kinked), NewSetup(7, Photochemical, Kinked)
	c := NewSetup(8, Photochemical, Kinked)
	if a.PrintLightness(41) != b.PrintLightness(41) {
		t.Error("one seed gave two setups")
	}
	if a.PrintLightness(41) == c.PrintLightness(41) {
		t.Error("two seeds gave one setup")
	}
}

// A logistic curve has log-odds of net density that are straight in log
// exposure. These papers bend them, each in a way of its own: the log-odds'
// slope a quarter of the way up and three quarters, against the middle.
func TestFamiliesAreNotOneCurve(t *testing.T) {
	bend := func(s *Setup, share float64) float64 {
		slope := func(share float64) float64 {
			a, b := s.exposureFor(s.netShare(share-0.02)), s.exposureFor(s.netShare(share+0.02))
			odds := func(p float64) float64 { return math.Log(p / (1 - p)) }
			return (odds(share+0.02) - odds(share-0.02)) / float64(b-a)
		}
		return slope(share) / slope(0.5)
	}
	for seed := range uint64(20) {
		a := NewSetup(seed, Probit, Smooth)
		b := NewSetup(seed, SoftCorners, Smooth)
		c := NewSetup(seed, Photochemical, Smooth)
		if got := bend(a, 0.95); got < 1.15 {
			t.Errorf("probit %d: log-odds bend %v at the shoulder, as straight as a logistic", seed, got)
		}
		if got := bend(b, 0.95) * bend(b, 0.05); got < 1.3 {
			t.Errorf("soft corners %d: log-odds bend %v, as straight as a logistic", seed, got)
		}
		if got := bend(c, 0.95) / bend(c, 0.05); math.Abs(math.Log(got)) < 0.1 {
			t.Errorf("photochemical %d: toe and shoulder alike, %v", seed, got)
		}
	}
}
