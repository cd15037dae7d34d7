package darkroom_test

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
)

var reuseFlag = flag.Int("reuse", 4, "setups of TestReuse; the figures count from 200 on")

// What a curve from a step tablet alone is held to, in L*, and the true mismatch.
const (
	mostReuseShape  = 0.60
	mostReuseRaw    = 1.30
	leastReuseCover = 0.90
	trueMismatch    = 0.03
	mostBeyondLeast = 0.20
)

// mismatches are the ways in which the new sensitiser sees the ink: the factor on
// its UV density at a share of full ink.
var mismatches = []struct {
	name   string
	factor func(rng *rand.Rand) func(u float64) float64
}{
	{"sd of 3 %", func(rng *rand.Rand) func(float64) float64 {
		share := trueMismatch * rng.NormFloat64()
		return func(float64) float64 { return 1 + share }
	}},
	{"3 % always", func(rng *rand.Rand) func(float64) float64 {
		sign := float64(1 - 2*rng.IntN(2))
		return func(float64) float64 { return 1 + sign*trueMismatch }
	}},
	{"3 %, bent", func(rng *rand.Rand) func(float64) float64 {
		phase, turns := 2*math.Pi*rng.Float64(), 1+rng.Float64()
		return func(u float64) float64 {
			return 1 + math.Sqrt2*trueMismatch*math.Sin(phase+math.Pi*turns*u)
		}
	}},
	{"none", func(*rand.Rand) func(float64) float64 {
		return func(float64) float64 { return 1 }
	}},
}

// reuseRun is one new paper: the finished print's errors; what the mismatch alone
// makes of a curve that is right but for it; how much the bands hold, and how much
// when no mismatch is believed in (the mutant).
type reuseRun struct {
	shape, raw, least, cover, mutant, middleSD float64
	refused                                    bool // the other ink, as far as it was seen, gives no picture on this paper
}

// TestReuse calibrates an ink on one paper, then another paper from a step tablet
// alone, whose sensitiser sees the ink a little differently, and prints the curve.
//
// The figures: go test ./negative/darkroom -run '^TestReuse$' -v -reuse 200 -seed 4242
func TestReuse(t *testing.T) {
	for _, kind := range mismatches {
		runs := make([]reuseRun, *reuseFlag)
		eachOf(*reuseFlag, 61, func(i int, s *darkroom.Setup, rng *rand.Rand) {
			runs[i] = reuseInk(t, s, kind.factor(rng), rng)
		})
		all := len(runs)
		runs = slices.DeleteFunc(runs, func(r reuseRun) bool { return r.refused })
		if all > 2*len(runs) {
			t.Fatalf("%s: %d of %d papers were refused", kind.name, all-len(runs), all)
		}
		holdReuse(t, kind.name, runs)
	}
}

func holdReuse(t *testing.T, name string, runs []reuseRun) {
	t.Helper()
	at := func(q float64, f func(reuseRun) float64) float64 {
		var v []float64
		for _, r := range runs {
			v = append(v, f(r))
		}
		return quantile(v, q)
	}
	shape, raw, least := func(r reuseRun) float64 { return r.shape }, func(r reuseRun) float64 { return r.raw }, func(r reuseRun) float64 { return r.least }
	cover, mutant := 0.0, 0.0
	for _, r := range runs {
		cover += r.cover / float64(len(runs))
		mutant += r.mutant / float64(len(runs))
	}
	t.Logf("%-10s tone error median %.3f, 90th percentile %.3f; raw %.3f, %.3f, of which the mismatch alone makes %.3f; middle tone's doubt %.2f; bands hold %.3f, with no mismatch believed in %.3f",
		name, at(0.5, shape), at(0.9, shape), at(0.5, raw), at(0.9, raw), at(0.5, least), at(0.5, func(r reuseRun) float64 { return r.middleSD }), cover, mutant)
	if *reuseFlag < fullSetups {
		return
	}
	// A mismatch that is always of 3 % makes 1.5 L* of itself: no curve knows it.
	most := max(mostReuseRaw, at(0.5, least)+mostBeyondLeast)
	if at(0.5, shape) > mostReuseShape || at(0.5, raw) > most {
		t.Errorf("%s: tone error median %.3f, raw %.3f, want %.2f and %.2f", name, at(0.5, shape), at(0.5, raw), mostReuseShape, most)
	}
	if cover < leastReuseCover {
		t.Errorf("%s: the bands hold %.3f, want %.2f", name, cover, leastReuseCover)
	}
	if name != "none" && mutant >= leastReuseCover {
		t.Errorf("%s: without a mismatch the bands hold %.3f: the gate could not tell", name, mutant)
	}
}

func reuseInk(t *testing.T, old *darkroom.Setup, factor func(float64) float64, rng *rand.Rand) reuseRun {
	t.Helper()
	fresh := darkroom.NewSetup(old.Seed()+7000, darkroom.Families[rng.IntN(3)], darkroom.Smooth)
	first := calibrate(t, old, calibration.Print{Ramp: readInk(old, inkOf(old), darkroom.Print{}, rng), Tablet: readTablet(old, darkroom.Print{}, rng)})
	if first == nil {
		return reuseRun{}
	}
	n := newPaper{fresh, old, factor, readTablet(fresh, darkroom.Print{}, rng)}
	r := n.print(t, first, 0)
	if r.refused {
		return r
	}
	r.mutant = n.print(t, first, 1e-9).cover
	return r
}

func inkOf(s *darkroom.Setup) func(ink float64) float64 {
	return func(ink float64) float64 { return float64(s.UVDensity(ink)) }
}

// newPaper is a paper known from a tablet, and the ink that is printed on it.
type newPaper struct {
	paper, ink *darkroom.Setup
	factor     func(u float64) float64
	tablet     *measure.Table
}

func (n *newPaper) tone(ink, factor float64) float64 {
	return float64(n.paper.PrintDensity(density.LogExposure(-float64(n.ink.UVDensity(ink)) * factor)).Lightness())
}

// print makes the curve of the tablet with another calibration's ink and prints it.
func (n *newPaper) print(t *testing.T, other *calibration.Calibration, mismatch float64) (r reuseRun) {
	t.Helper()
	e, err := calibration.Fit([]calibration.Print{{Tablet: n.tablet}}, nil)
	if err != nil {
		t.Error(err)
		return r
	}
	c, err := e.Reuse(other, calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0), Mismatch: mismatch})
	var refusal *fault.Error
	if errors.As(err, &refusal) && strings.Contains(refusal.What, "film ink changes the print") {
		r.refused = true
		return r
	} else if err != nil {
		t.Error(err)
		return r
	}
	errs, alone := make([]float64, len(c.Curve.Tone)), make([]float64, len(c.Curve.Tone))
	for i, ink := range c.Curve.Ink {
		seen := n.tone(ink, n.factor(ink/100))
		errs[i], alone[i] = seen-c.Curve.AimLstar[i], seen-n.tone(ink, 1)
		if math.Abs(errs[i]) <= 1.96*c.Curve.ToneSD[i] {
			r.cover += 1 / float64(len(errs))
		}
	}
	r.shape, r.raw, r.least, r.middleSD = shapeError(c.Curve.AimLstar, errs), rms(errs), rms(alone), c.Curve.ToneSD[len(errs)/2]
	return r
}
