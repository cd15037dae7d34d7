package darkroom_test

import (
	"flag"
	"math"
	"testing"
	"time"

	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
)

var (
	seedFlag   = flag.Uint64("seed", 1, "seed of the simulated setups")
	setupsFlag = flag.Int("setups", 9, "setups of TestClosedLoop; the figures count from 200 on")
)

// What the closed loop is held to, in L*.
const (
	mostMedian  = 0.20
	mostNinety  = 0.35
	mostOfBook  = 0.60
	leastCover  = 0.92
	mostCover   = 0.98
	readingSD   = 0.5
	fullSetups  = 200
	loopLevels  = 41
	loopRepeats = 2
)

// loop is one run of the closed loop by numbers.
type loop struct {
	family                         darkroom.Family
	shape, raw, cover              float64
	bare, bareRaw, bareCover       float64 // without the tablet
	book, bookRaw, lines, linesRaw float64
}

// TestClosedLoop reads a ramp and a tablet from virtual prints, fits them,
// builds the curve and prints its ink levels again: the finished print's tone
// error against the aim. The textbook way, straight lines and the fit without
// the tablet see the same readings.
//
// The figures: go test ./negative/darkroom -run '^TestClosedLoop$' -v -setups 300 -seed 4242
func TestClosedLoop(t *testing.T) {
	byFamily := map[string][]loop{}
	for _, kind := range darkroom.RampKinds {
		loops := runLoops(t, kind, *setupsFlag/len(darkroom.RampKinds))
		report(t, kind.String(), loops)
		for _, l := range loops {
			byFamily[l.family.String()] = append(byFamily[l.family.String()], l)
		}
		if *setupsFlag >= fullSetups {
			holdToLimits(t, kind.String(), loops)
			continue
		}
		// A handful of setups only shows a broken fit, not the figures.
		if m := quantile(shapes(loops), 0.5); m > 1.5*mostMedian {
			t.Errorf("%s: median tone error %.3f L*, far over %.2f", kind, m, mostMedian)
		}
		if c := mean(loops, func(l loop) float64 { return l.cover }); c < 0.8 {
			t.Errorf("%s: the bands hold %.3f of the truth", kind, c)
		}
	}
	for _, f := range darkroom.Families {
		loops := byFamily[f.String()]
		cover := mean(loops, func(l loop) float64 { return l.cover })
		t.Logf("%-14s bands hold %.3f", f, cover)
		if *setupsFlag >= fullSetups && (cover < leastCover || cover > mostCover) {
			t.Errorf("%s: the bands hold %.3f of the truth, want %.2f to %.2f", f, cover, leastCover, mostCover)
		}
	}
}

func shapes(loops []loop) []float64 {
	return column(loops, func(l loop) float64 { return l.shape })
}

func column(loops []loop, f func(loop) float64) []float64 {
	out := make([]float64, len(loops))
	for i, l := range loops {
		out[i] = f(l)
	}
	return out
}

func mean(loops []loop, f func(loop) float64) float64 {
	sum := 0.0
	for _, v := range column(loops, f) {
		sum += v
	}
	return sum / float64(len(loops))
}

func report(t *testing.T, name string, loops []loop) {
	t.Helper()
	line := func(way string, shape, raw func(loop) float64, cover float64) {
		t.Logf("%-7s %-17s tone error median %.3f, 90th percentile %.3f; raw median %.3f; of textbook %.2f; bands hold %.3f",
			name, way, quantile(column(loops, shape), 0.5), quantile(column(loops, shape), 0.9),
			quantile(column(loops, raw), 0.5),
			quantile(column(loops, shape), 0.5)/quantile(column(loops, func(l loop) float64 { return l.book }), 0.5), cover)
	}
	line("fit", func(l loop) float64 { return l.shape }, func(l loop) float64 { return l.raw },
		mean(loops, func(l loop) float64 { return l.cover }))
	line("fit, no tablet", func(l loop) float64 { return l.bare }, func(l loop) float64 { return l.bareRaw },
		mean(loops, func(l loop) float64 { return l.bareCover }))
	line("textbook", func(l loop) float64 { return l.book }, func(l loop) float64 { return l.bookRaw }, math.NaN())
	line("straight lines", func(l loop) float64 { return l.lines }, func(l loop) float64 { return l.linesRaw }, math.NaN())
}

func holdToLimits(t *testing.T, name string, loops []loop) {
	t.Helper()
	median, ninety := quantile(shapes(loops), 0.5), quantile(shapes(loops), 0.9)
	book := quantile(column(loops, func(l loop) float64 { return l.book }), 0.5)
	cover := mean(loops, func(l loop) float64 { return l.cover })
	if median > mostMedian || ninety > mostNinety {
		t.Errorf("%s: tone error median %.3f, 90th percentile %.3f, want %.2f and %.2f", name, median, ninety, mostMedian, mostNinety)
	}
	if median > mostOfBook*book {
		t.Errorf("%s: median %.3f is %.2f of the textbook way's, want %.2f", name, median, median/book, mostOfBook)
	}
	if cover < leastCover || cover > mostCover {
		t.Errorf("%s: the bands hold %.3f of the truth, want %.2f to %.2f", name, cover, leastCover, mostCover)
	}
}

// runLoops runs n setups of a kind of ramp, the families of papers in turn.
func runLoops(t *testing.T, kind darkroom.RampKind, n int) []loop {
	t.Helper()
	loops := make([]loop, n)
	sideBySide(n, func(i int) {
		seed := *seedFlag*100_000 + uint64(i)
		loops[i] = runLoop(t, darkroom.NewSetup(seed, darkroom.Families[i%len(darkroom.Families)], kind))
	})
	return loops
}

func runLoop(t *testing.T, s *darkroom.Setup) loop {
	rng := darkroom.Random(s.Seed(), uint64(s.RampKind())+7)
	noise := darkroom.Noise{LightnessSD: readingSD}
	ramp := s.RampReadings(levels(loopLevels), loopRepeats, darkroom.Print{}, noise, rng)
	steps := s.TabletReadings(tablet21(), darkroom.Print{}, noise, rng)
	l := loop{family: s.Family()}
	p := calibration.Print{Ramp: table(measure.Ramp, ramp), Tablet: table(measure.Tablet, steps)}
	var tones []float64
	tones, l.shape, l.raw, l.cover = finishedPrint(t, s, p)
	_, l.bare, l.bareRaw, l.bareCover = finishedPrint(t, s, calibration.Print{Ramp: p.Ramp})
	book, lines := textbook(ramp).errors(s, tones), straightLines(ramp).errors(s, tones)
	l.book, l.bookRaw = shapeError(tones, book), rms(book)
	l.lines, l.linesRaw = shapeError(tones, lines), rms(lines)
	return l
}

// finishedPrint fits, builds the curve and prints every node of it again.
func finishedPrint(t *testing.T, s *darkroom.Setup, p calibration.Print) (tones []float64, shape, raw, cover float64) {
	c := calibrate(t, s, p)
	if c == nil {
		return []float64{0, 1}, math.NaN(), math.NaN(), 0
	}
	errs, held := make([]float64, len(c.Curve.Tone)), 0.0
	for i, ink := range c.Curve.Ink {
		errs[i] = float64(s.PrintLightness(ink)) - c.Curve.AimLstar[i]
		if math.Abs(errs[i]) <= 1.96*c.Curve.ToneSD[i] {
			held++
		}
	}
	return c.Curve.AimLstar, shapeError(c.Curve.AimLstar, errs), rms(errs), held / float64(len(errs))
}

func calibrate(t *testing.T, s *darkroom.Setup, p calibration.Print) *calibration.Calibration {
	return calibrateWith(t, s, p, nil)
}

func calibrateWith(t *testing.T, s *darkroom.Setup, p calibration.Print, o *calibration.Options) *calibration.Calibration {
	e, err := calibration.Fit([]calibration.Print{p}, o)
	if err != nil {
		t.Errorf("seed %d, %s, %s: %v", s.Seed(), s.Family(), s.RampKind(), err)
		return nil
	}
	c, err := e.Build(calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0)})
	if err != nil {
		t.Errorf("seed %d, %s, %s: %v", s.Seed(), s.Family(), s.RampKind(), err)
		return nil
	}
	return c
}

// table turns the darkroom's readings into a file's.
func table(kind measure.Kind, rs []darkroom.Reading) *measure.Table {
	nan := math.NaN()
	t := &measure.Table{Kind: kind, Unit: measure.InLightness, Name: "virtual.csv", File: "virtual.csv"}
	for _, r := range rs {
		t.Readings = append(t.Readings, measure.Reading{ID: r.ID, Ink: r.Ink, Tablet: r.Tablet,
			Device: r.RGB, HasDevice: kind == measure.Colours,
			Value: float64(r.Lightness), Unit: measure.InLightness,
			SD: nan, Spread: nan, XMM: nan, YMM: nan, TabletSD: nan, LabA: nan, LabB: nan})
	}
	return t
}

func levels(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 100 * float64(i) / float64(n-1)
	}
	return out
}

func tablet21() []density.Density {
	out := make([]density.Density, 21)
	for i := range out {
		out[i] = density.Density(0.05 + 0.15*float64(i))
	}
	return out
}

// TestUVDensityNeedsTheTablet holds the UV density of the ink to its truth, and
// sees the gate fail on a mutant: the same readings with the tablet ignored.
func TestUVDensityNeedsTheTablet(t *testing.T) {
	const most = 0.05 // root mean square over the inks that print between white and black
	var with, without []float64
	for i := range 3 {
		s := darkroom.NewSetup(*seedFlag*1000+uint64(i), darkroom.Families[i%3], darkroom.RampKinds[i%3])
		rng := darkroom.Random(s.Seed(), 11)
		noise := darkroom.Noise{LightnessSD: readingSD}
		p := calibration.Print{
			Ramp:   table(measure.Ramp, s.RampReadings(levels(loopLevels), loopRepeats, darkroom.Print{}, noise, rng)),
			Tablet: table(measure.Tablet, s.TabletReadings(tablet21(), darkroom.Print{}, noise, rng)),
		}
		with = append(with, uvErrors(t, s, p)...)
		without = append(without, uvErrors(t, s, calibration.Print{Ramp: p.Ramp})...)
	}
	t.Logf("UV density off by %.3f (root mean square), by %.3f with the tablet ignored", rms(with), rms(without))
	if rms(with) > most {
		t.Errorf("UV density is off by %.3f, want at most %.2f", rms(with), most)
	}
	if rms(without) <= most {
		t.Errorf("ignoring the tablet gives %.3f: the gate of %.2f could not tell", rms(without), most)
	}
}

func uvErrors(t *testing.T, s *darkroom.Setup, p calibration.Print) []float64 {
	t.Helper()
	e, err := calibration.Fit([]calibration.Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	low, high := s.PaperDensity()+0.08, s.PaperDensity()+0.9*(s.MaximumDensity()-s.PaperDensity())
	var out []float64
	for ink := 2.0; ink <= 98; ink += 4 {
		if d := s.PrintLightness(ink).Density(); d < low || d > high {
			continue
		}
		got, _ := e.UVDensity(ink)
		out = append(out, float64(got-s.UVDensity(ink)))
	}
	return out
}
