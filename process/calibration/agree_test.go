package calibration

import (
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/process/density"
	"actinic/process/sensitometry"
)

// agreeScene is a pair of like prints, the second of which a test changes.
func agreeScene() (scene, scene) {
	s := darkroomScene()
	s.paper.x0 = sensitometry.Pivot // where contrast moves no exposure
	s.noise = 0.4
	return s, s
}

// agreement fits prints of scenes and returns how the last stands to the others.
func agreementOf(t *testing.T, o *Options, exposures []float64, scenes ...scene) (*Estimate, Agreement) {
	t.Helper()
	var prints []Print
	for i, s := range scenes {
		p := s.print(uint64(100 + i))
		if exposures != nil {
			p.Exposure = exposures[i]
		}
		prints = append(prints, p)
	}
	e, err := Fit(prints, o)
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Agreement) != len(scenes) {
		t.Fatalf("%d agreements of %d prints", len(e.Agreement), len(scenes))
	}
	for _, g := range e.Agreement[:len(scenes)-1] {
		if len(g.Differs) > 0 {
			t.Errorf("print %d of the like ones differs in %v", g.Print, g.Differs)
		}
	}
	return e, e.Agreement[len(scenes)-1]
}

// A print that differs in one respect is named for it, with its size; by hand from
// the closed form of the scene.
func TestADifferenceIsNamed(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name      string
		change    func(s *scene)
		want      []Difference
		size      func(g Agreement) Value
		value     float64
		tolerance float64
	}{
		{"like prints", func(*scene) {}, nil, func(g Agreement) Value { return g.Contrast }, 0, 0.02},
		{"twice the light", func(s *scene) { s.exposure = math.Log10(2) }, []Difference{OfExposure}, func(g Agreement) Value { return g.Offset }, 0.301, 0.02},
		{"contrast", func(s *scene) { s.paper.k *= 1.25 }, []Difference{OfContrast}, func(g Agreement) Value { return g.Contrast }, math.Log(1.25), 0.03},
		{"black", func(s *scene) { s.paper.net -= 0.35 }, []Difference{OfBlack}, func(g Agreement) Value { return g.Black }, -0.35, 0.03},
		{"paper", func(s *scene) { s.paper.paper += 0.06; s.paper.net -= 0.06 }, []Difference{OfPaper}, func(g Agreement) Value { return g.Paper }, 0.06, 0.015},
		{"a weaker ink", func(s *scene) { s.uv = func(u float64) float64 { return 0.85 * smoothInk(u) } },
			[]Difference{OfStrength}, func(g Agreement) Value { return g.Strength }, math.Log(0.85), 0.03},
		{"another ink", func(s *scene) { s.uv = func(u float64) float64 { return 0.78 * kinkedInk(u) } },
			[]Difference{OfInk, OfStrength}, nil, 0, 0},
	}
	for _, c := range cases {
		first, last := agreeScene()
		c.change(&last)
		e, g := agreementOf(t, nil, nil, first, last)
		if !slices.Equal(g.Differs, c.want) {
			t.Errorf("%s: differs in %v, want %v", c.name, g.Differs, c.want)
		}
		if c.size != nil {
			if v := c.size(g); math.Abs(v.Value-c.value) > c.tolerance || math.Abs(v.Value-c.value) > 4*v.SD+0.005 {
				t.Errorf("%s: %.3f +- %.3f, want %.3f", c.name, v.Value, v.SD, c.value)
			}
		}
		foreign := slices.Contains(c.want, OfInk) || slices.Contains(c.want, OfStrength)
		if g.LeftOut != foreign || (len(e.ramps()) == 1) != foreign || len(e.prints) != 2 {
			t.Errorf("%s: left out %v, %d ramps of %d prints in the fit", c.name, g.LeftOut, len(e.ramps()), len(e.prints))
		}
	}
}

// Without a tablet on it a print of another ink is left out whole; of three prints
// the one that the others speak against goes, wherever it stands.
func TestTheOddPrintGoes(t *testing.T) {
	t.Parallel()
	like, odd := agreeScene()
	odd.uv, odd.steps = func(u float64) float64 { return 0.78 * kinkedInk(u) }, 0
	prints := []Print{odd.print(1), like.print(2), like.print(3)}
	e, err := Fit(prints, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !e.Agreement[0].LeftOut || e.Agreement[1].LeftOut || e.Agreement[2].LeftOut || len(e.prints) != 2 || e.prints[0].number != 2 {
		t.Errorf("agreements %+v, %d prints in the fit", e.Agreement, len(e.prints))
	}
	c := build(t, e, Request{})
	if x := c.Exposure.Prints; len(x) != 3 || !x[0].LeftOut || x[1].LeftOut || x[1].Print != 2 {
		t.Errorf("prints in the file: %+v", x)
	}
	if text := strings.Join(c.Cautions, "\n"); !strings.Contains(text, "Print 1 (ramp.csv) differs from the others") || !strings.Contains(text, "--keep-prints") {
		t.Errorf("cautions %q", c.Cautions)
	}
	kept, err := Fit(prints, &Options{KeepPrints: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(kept.prints) != 3 || len(kept.Agreement[0].Differs) == 0 {
		t.Errorf("with all kept: %d prints, print 1 differs in %v", len(kept.prints), kept.Agreement[0].Differs)
	}
	if alone := like.error(e); alone > 0.3 || like.error(kept) < 3*alone {
		t.Errorf("tone error %.2f without the odd print, %.2f with it", alone, like.error(kept))
	}
}

// Exposures that are given are expected, not named; one that the print does not
// show is, with both. Four times the time is 0.602 of log exposure.
func TestExposuresGiven(t *testing.T) {
	t.Parallel()
	first, last := agreeScene()
	last.exposure = math.Log10(4)
	if _, g := agreementOf(t, nil, []float64{120, 480}, first, last); len(g.Differs) > 0 || math.Abs(g.Expected.Value-0.602) > 0.001 {
		t.Errorf("differs in %v, %.3f expected", g.Differs, g.Expected.Value)
	}
	e, g := agreementOf(t, nil, []float64{120, 240}, first, last)
	if !slices.Equal(g.Differs, []Difference{OfExposure}) {
		t.Errorf("differs in %v, want exposure", g.Differs)
	}
	if text := strings.Join(e.agreementCautions(), ""); !strings.Contains(text, "2.00 times the first print's, which is +0.30, but its tones moved by +0.60") ||
		!strings.Contains(text, "reciprocity") {
		t.Errorf("cautions %q", text)
	}
	first.steps, last.steps = 0, 0
	if _, g := agreementOf(t, nil, []float64{120, 240}, first, last); len(g.Differs) > 0 || !math.IsNaN(g.Expected.Value) {
		t.Errorf("without a tablet times say nothing of log exposure; differs in %v", g.Differs)
	}
}

// A paper that masks itself has another curve at another exposure: no shift lays
// one tablet over the other, and the longer print is left out.
func TestSelfMaskingPaper(t *testing.T) {
	t.Parallel()
	first, last := agreeScene()
	last.exposure, last.paper.m, last.paper.k = 0.3, 0.35, 5.5
	e, g := agreementOf(t, nil, []float64{240, 480}, first, last)
	if !g.differsIn(OfCurve) || !g.LeftOut || len(e.prints) != 1 {
		t.Errorf("differs in %v, left out %v", g.Differs, g.LeftOut)
	}
	if text := strings.Join(e.agreementCautions(), ""); !strings.Contains(text, "self-masking") || !strings.Contains(text, "holds near the exposure of the others only") {
		t.Errorf("cautions %q", text)
	}
}

// The curve is that of the mean print: turning the fit to it changes no reading's
// expectation, and several prints are known better than one, not worse.
func TestMeanPrint(t *testing.T) {
	t.Parallel()
	first, last := agreeScene()
	last.paper.net, last.exposure = 1.46, 0.05
	e := &Estimate{prints: numbered([]Print{first.print(1), last.print(2)})}
	if err := e.solve(&Options{}, nil); err != nil {
		t.Fatal(err)
	}
	before, _ := e.fit.linearised(e.fit.mean)
	_, common := e.PrintLightness(40)
	e.fit.toMeanPrint()
	after, _ := e.fit.linearised(e.fit.mean)
	for i := range before {
		if math.Abs(before[i]-after[i]) > 0.01 {
			t.Fatalf("reading %d is expected %.3f L* away from before", i, before[i]-after[i])
		}
	}
	one, err := Fit([]Print{first.print(1)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	_, alone := one.PrintLightness(40)
	if _, mean := e.PrintLightness(40); mean > alone || common < 2*mean {
		t.Errorf("tone doubt: of the mean print %.3f, of one print %.3f, of the curve that prints scatter about %.3f", mean, alone, common)
	}
	l := density.Lightness(50)
	near(t, "a next print's scatter about one", nextScatter(l, 1), math.Sqrt2*printScatter(l), 1e-12)
	near(t, "a next print's scatter about four", nextScatter(l, 4), math.Sqrt(1.25)*printScatter(l), 1e-12)
}

// Pages of one chart are prints of one number; tablets alone are not judged.
func TestWhatIsNotJudged(t *testing.T) {
	t.Parallel()
	s, _ := agreeScene()
	s.levels = 0
	e, err := Fit([]Print{s.print(1), s.print(2)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if e.Agreement != nil {
		t.Errorf("tablets alone were judged: %+v", e.Agreement)
	}
	one, err := Fit([]Print{darkroomScene().print(1)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if x := one.printExposures(); one.Agreement != nil || len(x) != 1 || x[0].Print != 1 || x[0].Offset != (Value{}) {
		t.Errorf("one print: %+v", x)
	}
}

// The pages of a chart are named by their page.
func TestPagesAreNamed(t *testing.T) {
	t.Parallel()
	s, _ := agreeScene()
	p := s.print(1)
	for i := range p.Ramp.Readings {
		r := &p.Ramp.Readings[i]
		r.XMM, r.YMM = float64(i%7), float64(i%5)
		if i%2 == 1 {
			r.ID = "2-" + r.ID
		}
	}
	e, err := Fit([]Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if g := e.Agreement; len(g) != 2 || g[1].Print != 1 || g[0].Readings != "ramp.csv, page 1" || g[1].Readings != "ramp.csv, page 2" || len(g[1].Differs) > 0 {
		t.Errorf("agreements %+v", g)
	}
}
