package darkroom_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"actinic/negative/darkroom"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/nextchart"
)

var (
	nextFlag    = flag.Int("next", 3, "setups of TestNextChart; the figures count from 200 on")
	scatterFlag = flag.Bool("scatter", false, "prints of TestNextChart differ as honest prints do")
	inkFlag     = flag.Float64("strength", 1, "TestNextChart's inks stop so many times as much as the setups'")
	firstFlag   = flag.Int("first", 41, "levels of TestNextChart's first chart")
	onceFlag    = flag.Int("repeats", 2, "repeats of TestNextChart's first chart")
)

// What the second chart is held to: final tone error, in L*, and how the design
// compares.
const (
	mostNextMedian = 0.12
	mostNextNinety = 0.20
	mostOfTone     = 1.03 // of the error with levels evenly in predicted tone: no worse, but for chance
	mostOff        = 0.25 // between predicted and realised fall of the mean variance
)

// way is a choice of levels for the second chart.
type way int

const (
	byDesign way = iota
	evenInk
	evenTone
	endsOnly // a broken design: next to clear film and full ink only
	ways
)

var wayNames = [ways]string{"design", "even in ink", "even in tone", "ends only"}

// second is one setup with each second chart.
type second struct {
	first            float64 // tone error after the first chart
	after            [ways]float64
	used             float64 // share of the ramp that pictures use
	before           float64 // mean variance of the tones, L* squared
	predicted, found float64 // after the chart by design
	blind            float64 // predicted, were a further print the same print again
}

// TestNextChart reads a first chart of a virtual setup, chooses the levels of a
// second by what the first left in doubt, and prints it: the finished print's tone
// error after the two are fitted together. As many levels evenly in ink, and
// evenly in predicted tone, see the same noise.
//
// How much better than evenly in ink a choice can be depends on what pictures use
// of the ramp. With as many patches again, all put where pictures are, a share s
// of it is read 1 + 1/s times as often as by the first chart, evenly 2 times: the
// error is sqrt(2/(1 + 1/s)) of that at best. These setups use 0.8, so 0.94; to
// be a quarter better s must be under 0.4, as with inks of three times the
// strength that is needed (-strength).
//
// The figures: go test ./negative/darkroom -run '^TestNextChart$' -v -next 300 -seed 4242
// (-scatter: prints that differ; -strength 2.5: inks stronger than needed; -first 21 -repeats 1)
func TestNextChart(t *testing.T) {
	var all []second
	for _, kind := range darkroom.RampKinds {
		runs := runNext(t, kind, *nextFlag/len(darkroom.RampKinds))
		reportNext(t, kind.String(), runs)
		all = append(all, runs...)
	}
	reportNext(t, "all", all)
	figures := *nextFlag >= fullSetups && !*scatterFlag && *inkFlag == 1 && *firstFlag == 41 && *onceFlag == 2
	if !figures {
		if m := medianOf(all, byDesign); !*scatterFlag && m > 2*mostNextMedian {
			t.Errorf("median tone error %.3f L*, far over %.2f", m, mostNextMedian)
		}
		return
	}
	holdNext(t, all)
}

func holdNext(t *testing.T, all []second) {
	t.Helper()
	design, ninety := medianOf(all, byDesign), quantile(errorsOf(all, byDesign), 0.9)
	if design > mostNextMedian || ninety > mostNextNinety {
		t.Errorf("tone error median %.3f, 90th percentile %.3f, want %.2f and %.2f", design, ninety, mostNextMedian, mostNextNinety)
	}
	if even := medianOf(all, evenInk); design >= even {
		t.Errorf("median %.3f by design, %.3f evenly in ink", design, even)
	}
	if tone := medianOf(all, evenTone); design > mostOfTone*tone {
		t.Errorf("median %.3f by design, %.3f evenly in predicted tone", design, tone)
	}
	if ends := medianOf(all, endsOnly); ends <= mostNextMedian {
		t.Errorf("a broken design gives %.3f: the gate of %.2f could not tell", ends, mostNextMedian)
	}
	predicted, found, blind, _ := falls(all)
	if math.Abs(found/predicted-1) > mostOff {
		t.Errorf("the mean variance falls by %.3f, predicted %.3f", found, predicted)
	}
	if math.Abs(found/blind-1) <= mostOff {
		t.Errorf("taking a further print for the same print predicts %.3f: the gate could not tell from %.3f", blind, found)
	}
}

func errorsOf(runs []second, w way) []float64 {
	out := make([]float64, len(runs))
	for i, r := range runs {
		out[i] = r.after[w]
	}
	return out
}

func medianOf(runs []second, w way) float64 { return quantile(errorsOf(runs, w), 0.5) }

// falls are the shares by which the mean variance of the tones falls over all
// runs: predicted, found by the fit, predicted blindly; and that of the squared
// tone error after its straight line.
func falls(runs []second) (predicted, found, blind, square float64) {
	var s second
	left := 0.0
	for _, r := range runs {
		s.before += r.before
		s.predicted += r.predicted
		s.found += r.found
		s.blind += r.blind
		square += r.first * r.first / float64(len(runs))
		left += r.after[byDesign] * r.after[byDesign] / float64(len(runs))
	}
	return 1 - s.predicted/s.before, 1 - s.found/s.before, 1 - s.blind/s.before, 1 - left/square
}

func reportNext(t *testing.T, name string, runs []second) {
	t.Helper()
	if len(runs) == 0 {
		return
	}
	first, used := make([]float64, len(runs)), make([]float64, len(runs))
	for i, r := range runs {
		first[i], used[i] = r.first, r.used
	}
	t.Logf("%-7s %d setups, pictures use %.2f of the ramp; first chart: tone error median %.3f, 90th percentile %.3f",
		name, len(runs), quantile(used, 0.5), quantile(first, 0.5), quantile(first, 0.9))
	for w := range ways {
		ratios := make([]float64, len(runs))
		for i, r := range runs {
			ratios[i] = r.after[byDesign] / r.after[w]
		}
		t.Logf("%-7s second %-12s tone error median %.3f, 90th percentile %.3f; design / this: of medians %.3f, median run by run %.3f",
			name, wayNames[w], medianOf(runs, w), quantile(errorsOf(runs, w), 0.9), medianOf(runs, byDesign)/medianOf(runs, w), quantile(ratios, 0.5))
	}
	predicted, found, blind, square := falls(runs)
	t.Logf("%-7s mean variance falls by %.3f as predicted, %.3f as fitted, %.3f as the squared tone error; %.3f if prints did not differ", name, predicted, found, square, blind)
}

func runNext(t *testing.T, kind darkroom.RampKind, n int) []second {
	t.Helper()
	runs := make([]second, n)
	sideBySide(n, func(i int) {
		seed := *seedFlag*100_000 + uint64(i)
		runs[i] = runSecond(t, darkroom.NewSetup(seed, darkroom.Families[i%len(darkroom.Families)], kind))
	})
	return runs
}

func runSecond(t *testing.T, s *darkroom.Setup) (r second) {
	n := *firstFlag * *onceFlag
	var once []float64
	for range *onceFlag {
		once = append(once, levels(*firstFlag)...)
	}
	one := printOf(s, once, 1)
	c := fitted(t, s, []calibration.Print{one})
	if c == nil {
		return r
	}
	r.first = toneError(s, c)
	r.used = (c.Curve.Ink[len(c.Curve.Ink)-1] - c.Curve.Ink[0]) / 100
	plan := planned(t, c, n)
	r.before, r.predicted = variance(plan.Before), variance(plan.After)
	r.blind = variance(planned(t, blinded(c), n).After)
	for w, inks := range [ways][]float64{plan.Ink, levels(n), inTone(c, n), ends(n)} {
		c2 := fitted(t, s, []calibration.Print{one, printOf(s, inks, 2)})
		if c2 == nil {
			return r
		}
		if r.after[w] = toneError(s, c2); way(w) == byDesign {
			b2, err := nextchart.BeliefOf(c2, "virtual")
			if err != nil {
				t.Fatal(err)
			}
			r.found = variance(b2.Band())
		}
	}
	return r
}

func planned(t *testing.T, c *calibration.Calibration, n int) *nextchart.Plan {
	b, err := nextchart.BeliefOf(c, "virtual")
	if err != nil {
		t.Fatal(err)
	}
	p, err := nextchart.Levels(b, n, nextchart.LevelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// blinded takes a further print for the same print again: a mutant.
func blinded(c *calibration.Calibration) *calibration.Calibration {
	out, doubt, tablet := *c, *c.Doubt, *c.Doubt.Tablet
	doubt.Further, tablet.Further = zeros(doubt.Further), zeros(tablet.Further)
	out.Doubt, doubt.Tablet = &doubt, &tablet
	return &out
}

func zeros(like [][]float64) [][]float64 {
	out := make([][]float64, len(like))
	for i := range like {
		out[i] = make([]float64, len(like[i]))
	}
	return out
}

// variance is the mean variance of the tones behind a band of 95 %.
func variance(b nextchart.Band) float64 { return math.Pow(b.Average/1.96, 2) }

// printOf reads the k-th print of a setup: film-ink patches and the step tablet.
// The noise depends on setup and k, not on the inks.
func printOf(s *darkroom.Setup, inks []float64, k uint64) calibration.Print {
	rng := darkroom.Random(s.Seed(), 100*k+uint64(s.RampKind()))
	p := darkroom.Print{}
	if *scatterFlag {
		p = honest(darkroom.Random(s.Seed(), 1000*k+uint64(s.RampKind())))
	}
	noise := darkroom.Noise{LightnessSD: readingSD}
	steps := make([]density.Density, len(inks))
	for i, ink := range inks {
		steps[i] = stops(s, ink)
	}
	ramp := s.TabletReadings(steps, p, noise, rng)
	for i := range ramp {
		ramp[i].Ink, ramp[i].Tablet = inks[i], density.Density(math.NaN())
	}
	return calibration.Print{Ramp: table(measure.Ramp, ramp), Tablet: table(measure.Tablet, s.TabletReadings(tablet21(), p, noise, rng))}
}

// stops is the UV density of ink of the strength that was asked for.
func stops(s *darkroom.Setup, ink float64) density.Density {
	return density.Density(*inkFlag) * s.UVDensity(ink)
}

// honest is a print that differs from the setup's as honest prints do: black by
// 0.045, paper by 0.01, exposure by 0.03, contrast by 3 % (common practice).
func honest(rng *rand.Rand) darkroom.Print {
	return darkroom.Print{
		Offset:       density.LogExposure(0.03 * rng.NormFloat64()),
		Contrast:     0.03 * rng.NormFloat64(),
		PaperShift:   density.Density(0.01 * rng.NormFloat64()),
		MaximumShift: density.Density(0.045 * rng.NormFloat64()),
	}
}

func fitted(t *testing.T, s *darkroom.Setup, prints []calibration.Print) *calibration.Calibration {
	e, err := calibration.Fit(prints, nil)
	if err != nil {
		t.Errorf("seed %d, %s, %s, %d prints: %v", s.Seed(), s.Family(), s.RampKind(), len(prints), err)
		return nil
	}
	c, err := e.Build(calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0)})
	if err != nil {
		t.Errorf("seed %d, %s, %s, %d prints: %v", s.Seed(), s.Family(), s.RampKind(), len(prints), err)
		return nil
	}
	return c
}

// toneError prints every node of the curve again: the tone error after its
// straight line.
func toneError(s *darkroom.Setup, c *calibration.Calibration) float64 {
	errs := make([]float64, len(c.Curve.Ink))
	for i, ink := range c.Curve.Ink {
		errs[i] = float64(s.TabletLightness(stops(s, ink))) - c.Curve.AimLstar[i]
	}
	return shapeError(c.Curve.AimLstar, errs)
}

// inTone are n film inks evenly in the tones that a calibration predicts.
func inTone(c *calibration.Calibration, n int) []float64 {
	l := c.Ink.PrintLstar
	out := make([]float64, n)
	i := 1
	for k := range out {
		want := l[0] + (l[len(l)-1]-l[0])*float64(k)/float64(n-1)
		for i < len(l)-1 && l[i] < want {
			i++
		}
		share := math.Min(math.Max((want-l[i-1])/(l[i]-l[i-1]), 0), 1)
		out[k] = c.Ink.Percent[i-1] + share*(c.Ink.Percent[i]-c.Ink.Percent[i-1])
	}
	return out
}

// ends are levels of four lightest and four darkest inks.
func ends(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 0.4 * float64(i%4)
		if i >= n/2 {
			out[i] = 100 - out[i]
		}
	}
	return out
}
