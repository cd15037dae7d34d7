package darkroom_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"actinic/negative/darkroom"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/control"
	"actinic/process/density"
	"actinic/process/measure"
)

var checksFlag = flag.Int("checks", 6, "setups of TestCheck; the figures count from 200 on")

// What TestCheck is held to.
const (
	leastRight     = 0.50 // of answers; most others are that it cannot tell
	mostWrong      = 0.05 // of answers that send the printmaker the wrong way
	leastCheckHeld = 0.90 // of offsets and contrasts inside their 95 % band
	fullChecks     = 200
)

// perhapsTime is a new time with the warning that prints scatter by as much: it is
// right where exposure changed, and sends nobody the wrong way.
const perhapsTime = "perhaps time"

// checkCase is a way in which the checked print differs beyond scatter.
type checkCase struct {
	name       string
	differ     darkroom.Print
	otherPaper bool
	right      []string // answers that are right
	wrong      []string // answers that send the printmaker the wrong way
}

// Right for small differences is also to leave the print alone or to print it
// again: they are within twice what honest prints scatter.
var checkCases = []checkCase{
	{"honest scatter", darkroom.Print{}, false,
		[]string{control.Nothing, control.Again}, []string{control.Contrast, control.NewRamp, control.Black, control.Paper, control.Time}},
	{"exposure x1.12", darkroom.Print{Offset: 0.0492}, false,
		[]string{control.Nothing, control.Time, perhapsTime, control.Again}, []string{control.Contrast, control.NewRamp, control.Black, control.Paper}},
	{"exposure x1.4", darkroom.Print{Offset: 0.1461}, false,
		[]string{control.Time, perhapsTime}, []string{control.Nothing, control.Contrast, control.NewRamp, control.Black, control.Paper, control.Again}},
	{"contrast 10 %", darkroom.Print{Contrast: 0.10}, false,
		[]string{control.Nothing, control.Contrast, control.Again}, []string{control.Time, control.NewRamp, control.Black, control.Paper}},
	{"contrast 25 %", darkroom.Print{Contrast: 0.25}, false,
		[]string{control.Contrast}, []string{control.Nothing, control.Time, control.NewRamp, control.Black, control.Paper, control.Again}},
	{"other paper", darkroom.Print{}, true,
		[]string{control.NewRamp, control.Contrast, control.Black}, []string{control.Nothing, control.Time, control.Paper, control.Again}},
}

// checkRun is the outcome of one check.
type checkRun struct {
	kind                     string
	rightlyInside            bool // left alone, and within tolerance in truth
	inside                   bool
	offsetHeld, contrastHeld bool
	offsetOff, contrastOff   float64
	fitted                   bool
}

// TestCheck calibrates by one honest print and checks another that differs in a
// known way, by a chart of ten even tones and by the strip beside a picture.
//
// The figures: go test ./negative/darkroom -run '^TestCheck$' -v -checks 300 -seed 777
func TestCheck(t *testing.T) {
	var runs [2][][]checkRun
	for k := range runs {
		runs[k] = make([][]checkRun, len(checkCases))
		for j := range checkCases {
			runs[k][j] = make([]checkRun, *checksFlag)
		}
	}
	eachOf(*checksFlag, 77, func(i int, s *darkroom.Setup, rng *rand.Rand) {
		first := honestPrint(rng)
		c := calibrate(t, s, calibration.Print{Ramp: readInk(s, inkOf(s), first, rng), Tablet: readTablet(s, first, rng)})
		for j, how := range checkCases {
			if c != nil {
				runs[0][j][i] = checkOne(t, s, c, first, how, false, rng)
				runs[1][j][i] = checkOne(t, s, c, first, how, true, rng)
			}
		}
	})
	for k := range runs {
		for j, c := range checkCases {
			reportChecks(t, c, k == 1, runs[k][j])
		}
	}
}

func reportChecks(t *testing.T, c checkCase, strip bool, runs []checkRun) {
	t.Helper()
	share := func(is func(checkRun) bool) float64 {
		n := 0.0
		for _, r := range runs {
			if is(r) {
				n++
			}
		}
		return n / float64(len(runs))
	}
	oneOf := func(kinds []string) float64 {
		sum := 0.0
		for _, k := range kinds {
			sum += share(func(r checkRun) bool { return r.kind == k })
		}
		return sum
	}
	left := share(func(r checkRun) bool { return r.rightlyInside })
	right, wrong := oneOf(c.right), oneOf(c.wrong)
	if slices.Contains(c.wrong, control.Nothing) {
		right, wrong = right+left, wrong-left
	}
	offset := share(func(r checkRun) bool { return r.offsetHeld })
	contrast := share(func(r checkRun) bool { return r.contrastHeld })
	words := ""
	for _, k := range []string{control.Nothing, control.Again, control.Time, perhapsTime, control.Contrast, control.Black, control.Paper, control.NewRamp, control.Unknown} {
		if v := share(func(r checkRun) bool { return r.kind == k }); v > 0 {
			words += fmt.Sprintf(" %s %.2f", k, v)
		}
	}
	t.Logf("%-15s strip %-5v right %.2f wrong %.2f inside %.2f;%s; offset off %.4f, contrast %.3f (rms); 95 %% bands hold %.3f, %.3f", c.name, strip, right, wrong,
		share(func(r checkRun) bool { return r.inside }), words,
		rmsOf(runs, func(r checkRun) float64 { return r.offsetOff }), rmsOf(runs, func(r checkRun) float64 { return r.contrastOff }), offset, contrast)
	if len(runs) < fullChecks {
		return
	}
	if right < leastRight || wrong > mostWrong {
		t.Errorf("%s: right %.2f, wrong %.2f, want at least %.2f and at most %.2f", c.name, right, wrong, leastRight, mostWrong)
	}
	if !c.otherPaper && (offset < leastCheckHeld || contrast < leastCheckHeld) {
		t.Errorf("%s: bands hold %.3f and %.3f, want %.2f", c.name, offset, contrast, leastCheckHeld)
	}
}

func rmsOf(runs []checkRun, f func(checkRun) float64) float64 {
	sum := 0.0
	for _, r := range runs {
		sum += f(r) * f(r)
	}
	return math.Sqrt(sum / float64(len(runs)))
}

// checkOne checks a print against a calibration that was made from the first.
func checkOne(t *testing.T, s *darkroom.Setup, c *calibration.Calibration, first darkroom.Print, how checkCase, strip bool, rng *rand.Rand) checkRun {
	second := honestPrint(rng)
	second.Offset += how.differ.Offset
	second.Contrast += how.differ.Contrast
	paper := s
	if how.otherPaper {
		paper = darkroom.NewSetup(s.Seed()+700_000_000, darkroom.Families[rng.IntN(3)], darkroom.Smooth)
	}
	readings := readCheck(t, c, s, paper, second, strip, rng)
	check, err := control.Judge(readings, control.Request{Made: time.Unix(0, 0), Calibration: c, Strip: strip10()})
	if err != nil {
		t.Error(err)
		return checkRun{}
	}
	r := checkRun{kind: check.Answer.Kind, inside: check.Inside, fitted: check.ExposureOffset != nil}
	if r.kind == control.Time && strings.Contains(check.Answer.Text, "prints scatter by as much") {
		r.kind = perhapsTime
	}
	r.rightlyInside = r.inside && trueWorst(check, s, paper, second) <= control.UsualTolerance+readingSD
	if !r.fitted || how.otherPaper {
		return r
	}
	offset, contrast := truth(s, first, second)
	r.offsetOff, r.contrastOff = check.ExposureOffset.Value-offset, check.Contrast.Value-contrast
	r.offsetHeld = math.Abs(r.offsetOff) <= 1.96*check.ExposureOffset.SD
	r.contrastHeld = math.Abs(r.contrastOff) <= 1.96*check.Contrast.SD
	return r
}

// trueWorst is the largest difference that reading without noise would have found,
// L*.
func trueWorst(c *control.Check, s, paper *darkroom.Setup, p darkroom.Print) float64 {
	worst := 0.0
	for _, q := range c.Patches {
		l := float64(paper.PrintDensityOn(p, density.LogExposure(-s.UVDensity(*q.Ink))).Lightness())
		worst = math.Max(worst, math.Abs(l-q.Aim))
	}
	return worst
}

// truth is what the check's figures should be: both prints stretch log exposure
// about the paper's middle, the check's figures are about -1.
func truth(s *darkroom.Setup, first, second darkroom.Print) (offset, contrast float64) {
	half := (s.PaperDensity() + s.MaximumDensity()) / 2
	low, high := -6.0, 3.0
	for range 60 {
		mid := (low + high) / 2
		if s.PrintDensity(density.LogExposure(mid)) < half {
			low = mid
		} else {
			high = mid
		}
	}
	stretch := (1 + second.Contrast) / (1 + first.Contrast)
	return stretch*(float64(second.Offset)-low) + low - float64(first.Offset) - (stretch - 1), stretch - 1
}

func strip10() []control.StripPatch {
	var out []control.StripPatch
	for _, p := range tone.StripTones() {
		out = append(out, control.StripPatch{Name: fmt.Sprint(p.Number), Tone: p.Tone})
	}
	return out
}

// readCheck reads a print of ten patches on a paper: of even tones with their
// inks, or of the strip by number.
func readCheck(t *testing.T, c *calibration.Calibration, s, paper *darkroom.Setup, p darkroom.Print, strip bool, rng *rand.Rand) *measure.Table {
	curve, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	out := &measure.Table{Kind: measure.Ramp, Unit: measure.InLightness, Name: "check.csv", File: "check.csv"}
	if strip {
		out.Kind = measure.Patches
	}
	for i, patch := range strip10() {
		of := float64(i) * 100 / 9
		if strip {
			of = patch.Tone
		}
		r := measure.Blank()
		r.ID, r.Unit, r.Ink = patch.Name, measure.InLightness, curve.Ink(of)
		l := paper.PrintDensityOn(p, density.LogExposure(-s.UVDensity(r.Ink))).Lightness()
		r.Value = math.Max(0, float64(l)+readingSD*rng.NormFloat64())
		out.Readings = append(out.Readings, r)
	}
	return out
}
