package calibration

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/printer"
)

func aimFile(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "reference.csv")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// The aims at tone 50 between the print's own ends, by definition: half way in
// L*, half way in density, and where the reference print stands.
func TestAims(t *testing.T) {
	t.Parallel()
	match, err := FindAim("match", aimFile(t, "tone,print_lstar\n0,20\n10,23\n20,27\n30,32\n40,38\n50,45\n60,54\n70,64\n80,75\n90,86\n100,95\n"))
	if err != nil {
		t.Fatal(err)
	}
	lightness, err := FindAim("", "")
	if err != nil || lightness.Name != "lightness" {
		t.Fatal(lightness, err)
	}
	inDensity, err := FindAim("density", "")
	if err != nil {
		t.Fatal(err)
	}
	s := darkroomScene()
	e := s.fit(t, 1)
	for _, test := range []struct {
		aim       Aim
		want      func(black, white float64) float64
		tolerance float64
	}{
		{lightness, func(b, w float64) float64 { return (b + w) / 2 }, 1e-9},
		{inDensity, func(b, w float64) float64 {
			return float64(((density.Lightness(b).Density() + density.Lightness(w).Density()) / 2).Lightness())
		}, 1e-9},
		// 45 of 20 to 95 is a third of the way; the table is smoothed.
		{match, func(b, w float64) float64 { return b + (w-b)/3 }, 0.8},
	} {
		c := build(t, e, Request{Aim: test.aim})
		n := len(c.Curve.Tone)
		if c.Curve.Tone[n/2] != 50 || c.Aim.Name != test.aim.Name {
			t.Fatalf("aim %+v, middle tone %g", c.Aim, c.Curve.Tone[n/2])
		}
		near(t, "aim "+test.aim.Name+" at 50", c.Curve.AimLstar[n/2], test.want(c.Aim.BlackLstar, c.Aim.WhiteLstar), test.tolerance)
		near(t, "aim "+test.aim.Name+" at 0", c.Curve.AimLstar[0], c.Aim.BlackLstar, 1e-9)
		near(t, "aim "+test.aim.Name+" at 100", c.Curve.AimLstar[n-1], c.Aim.WhiteLstar, 1e-9)
		if !strictlyRising(c.Curve.Ink) || !strictlyRising(c.Curve.AimLstar) {
			t.Errorf("aim %s: ink or aim does not rise", test.aim.Name)
		}
		for i := 0; i < n; i += 32 {
			near(t, "fitted print under the curve's ink", float64(e.tone(c.Curve.Ink[i])), c.Curve.AimLstar[i], 1e-6)
			d, _ := e.UVDensity(c.Curve.Ink[i])
			near(t, "UV density", c.Curve.UVDensity[i], float64(d), 1e-12)
			if !(c.Curve.PrintSD[i] > c.Curve.ToneSD[i] && c.Curve.ToneSD[i] > 0) {
				t.Errorf("tone %g: doubt %g, of a print %g", c.Curve.Tone[i], c.Curve.ToneSD[i], c.Curve.PrintSD[i])
			}
		}
	}
	if match.File != "reference.csv" {
		t.Errorf("match file %q", match.File)
	}
}

// Black is 97 % of net density and white 0.04 above the paper: by hand L* of
// 0.08 + 0.97 x 1.4 and of 0.12, not the most and the least that was read.
func TestCurveEnds(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.noise = 0.1
	c := build(t, s.fit(t, 1), Request{})
	near(t, "black", c.Aim.BlackLstar, float64(density.Density(0.08+0.97*1.4).Lightness()), 0.3)
	near(t, "white", c.Aim.WhiteLstar, float64(density.Density(0.12).Lightness()), 0.3)
	near(t, "print of picture black", s.tone(c.Curve.Ink[0]), c.Aim.BlackLstar, 0.3)
	near(t, "print of picture white", s.tone(c.Curve.Ink[len(c.Curve.Ink)-1]), c.Aim.WhiteLstar, 0.3)
}

func TestAimRefuses(t *testing.T) {
	for name, test := range map[string]struct{ aim, text, words string }{
		"an unknown aim":      {"pretty", "", "aim pretty is not known"},
		"match without file":  {"match", "", "match"},
		"no columns":          {"match", "a,b\n1,2\n", "a"},
		"one column":          {"match", "tone\n1\n", "expected the columns tone and print_lstar"},
		"a tone of 120":       {"match", "tone,print_lstar\n120,30\n", "0 to 100"},
		"no number":           {"match", "tone,print_lstar\n10,x\n", "x"},
		"three tones":         {"match", "tone,print_lstar\n0,20\n50,50\n100,95\n", "at least 6 readings"},
		"tones from 30 to 80": {"match", "tone,print_lstar\n30,20\n40,30\n50,40\n60,50\n70,60\n80,70\n", "100"},
		"the wrong way":       {"match", "tone,print_lstar\n0,95\n20,80\n40,60\n60,40\n80,30\n100,20\n", "darker as tone grows"},
	} {
		file := ""
		if test.text != "" {
			file = aimFile(t, test.text)
		}
		_, err := FindAim(test.aim, file)
		refused(t, name, err, file, test.words)
	}
}

// A ramp that bends through printer RGB keeps its way; a straight one is two
// nodes, rounding to whole code values forgiven; none given is the neutral one.
func TestPath(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.levels, s.repeats, s.steps = 21, 2, 0
	p := s.print(1)
	device := func(rgb func(u float64) [3]float64) *measure.Table {
		return altered(p.Ramp, func(r *measure.Reading, i int) { r.HasDevice, r.Device = true, rgb(r.Ink/100) })
	}
	bent := device(func(u float64) [3]float64 { return [3]float64{255, 255 - 200*u*u, 255 * (1 - u)} })
	e, err := Fit([]Print{{Ramp: bent}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := build(t, e, Request{})
	k, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Ink.Path) != 21 || k.Neutral() {
		t.Errorf("%d nodes, neutral %v", len(c.Ink.Path), k.Neutral())
	}
	for _, ink := range []float64{0, 5, 50, 95, 100} { // nodes
		u := ink / 100
		near(t, "red", k.Device(ink)[0], 1, 1e-12)
		near(t, "green", k.Device(ink)[1], (255-200*u*u)/255, 1e-12)
		near(t, "blue", k.Device(ink)[2], 1-u, 1e-12)
	}
	near(t, "between two nodes", k.Device(52.5)[1], (k.Device(50)[1]+k.Device(55)[1])/2, 1e-12)
	straight, err := PathOf([]*measure.Table{device(func(u float64) [3]float64 {
		return [3]float64{math.Round(255 - 255*u), math.Round(255 - 155*u), 255}
	})})
	if err != nil || len(straight) != 2 || straight[1] != printer.NewNode(100, printer.RGB{0, 100, 255}) {
		t.Errorf("straight path %v, %v", straight, err)
	}
	neutral, err := PathOf([]*measure.Table{p.Ramp})
	if err != nil || len(neutral) != 2 || neutral[0] != printer.NewNode(0, printer.Clear) || neutral[1] != printer.NewNode(100, printer.RGB{}) {
		t.Errorf("neutral path %v, %v", neutral, err)
	}
	short := thin(bent, func(i int) bool { return i > 1 })
	_, err = PathOf([]*measure.Table{short})
	refused(t, "a bent path from 5 %", err, "dir/ramp.csv", "bends through printer RGB")
}

// A ramp of eleven levels, each read once, is enough for a curve.
func TestElevenLevels(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.levels, s.repeats, s.steps = 11, 1, 0
	worst, inside := 0.0, 0.0
	for seed := range uint64(5) {
		e := s.fit(t, seed)
		worst, inside = math.Max(worst, s.error(e)), inside+s.held(e)/5
	}
	if c := build(t, s.fit(t, 1), Request{}); !strictlyRising(c.Curve.Ink) {
		t.Error("ink does not rise")
	}
	if worst > 2 || inside < 0.8 {
		t.Errorf("tone error up to %.2f L*, bands hold %.2f", worst, inside)
	}
}

// Whatever the noise, the bands hold about 95 % of the truth and follow it. The
// limits are coarse: four prints at each noise.
func TestBandsFollowTheNoise(t *testing.T) {
	t.Parallel()
	var widths []float64
	for _, noise := range []float64{0.05, 2} {
		s := darkroomScene()
		s.noise, s.steps = noise, 0
		inside, width, found := 0.0, 0.0, 0.0
		for seed := range uint64(4) {
			e := s.fit(t, 200+seed)
			_, sd := e.PrintLightness(50)
			l, _ := e.Noise()
			inside, width, found = inside+s.held(e)/4, width+sd/4, found+l/4
		}
		t.Logf("noise %g L*: found %.3f, doubt at 50 %% ink %.3f, bands hold %.3f", noise, found, width, inside)
		if inside < 0.85 {
			t.Errorf("noise %g L*: the bands hold %.2f of the truth", noise, inside)
		}
		near(t, "noise found over true noise", found/noise, 1, 0.15)
		widths = append(widths, width)
	}
	// Twice the noise is more than 1.4 times the doubt; forty times is 10 at least.
	if widths[1] < 10*widths[0] || widths[0] > 0.05 || widths[1] > 1.5 {
		t.Errorf("doubt %.3f and %.3f L* for noise of 0.05 and 2", widths[0], widths[1])
	}
}

// Half of the readings are ten times as noisy as the other, and say so: the
// stated sd lower the tone error and keep the bands honest.
func TestStatedDoubtCounts(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.steps, s.noise = 0, 0.2
	rough := s
	rough.noise = 2
	with, without, inside := 0.0, 0.0, 0.0
	const runs = 3
	for seed := range uint64(runs) {
		p, noisy := s.print(seed), rough.print(seed+90)
		mixed := altered(p.Ramp, func(r *measure.Reading, i int) {
			if r.SD = 0.2; (i/2)%2 == 1 {
				r.Value, r.SD = noisy.Ramp.Readings[i].Value, 2
			}
		})
		told, err := Fit([]Print{{Ramp: mixed}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		untold, err := Fit([]Print{{Ramp: altered(mixed, func(r *measure.Reading, _ int) { r.SD = math.NaN() })}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		with, without, inside = with+s.error(told), without+s.error(untold), inside+s.held(told)/runs
	}
	t.Logf("tone error %.3f L* with stated sd, %.3f without; bands hold %.3f", with/runs, without/runs, inside)
	if with > 0.7*without || inside < 0.85 {
		t.Errorf("tone error %.3f L* with stated sd, %.3f without; bands hold %.3f", with/runs, without/runs, inside)
	}
}

// The words that users read hold no statisticians' terms.
func TestCautionsSpeakPlainly(t *testing.T) {
	for i, text := range files() {
		for _, word := range []string{"posterior", "likelihood", "sigma", "covariance"} {
			if strings.Contains(strings.ToLower(string(text)), word) {
				t.Errorf("file %d says %q", i, word)
			}
		}
	}
}
