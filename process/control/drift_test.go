package control_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"actinic/process/calibration"
	"actinic/process/control"
	"actinic/process/fault"

	"pgregory.net/rapid"
)

// steady is a history in which nothing happens, of a fixed seed.
func steady(seed uint64, count int) []control.DriftInput {
	return newWorkroom(rand.New(rand.NewPCG(seed, 9)), 0).history(count, count, 0)
}

func chartOf(t *testing.T, r *control.DriftReport, quantity string) control.DriftChart {
	t.Helper()
	for _, c := range r.Charts {
		if c.Quantity == quantity {
			return c
		}
	}
	t.Fatalf("no chart of %s", quantity)
	return control.DriftChart{}
}

func findingOf(r *control.DriftReport, quantity string) *control.DriftFinding {
	for i, f := range r.Findings {
		if f.Quantity == quantity {
			return &r.Findings[i]
		}
	}
	return nil
}

func TestDriftNamesKindAndCause(t *testing.T) {
	exposure := func(c *control.Check, by float64) { c.ExposureOffset.Value += by }
	for _, c := range []struct {
		name     string
		change   func(c *control.Check, since int) // since: 0 at the first changed check
		from     int
		quantity string
		kind     string
		words    []string
	}{
		{"lamp ages", func(c *control.Check, since int) { exposure(c, -0.012*float64(since+1)) }, 12,
			control.QuantityExposure, control.ChangeSlow, []string{"less exposure", "bit by bit", "lamp ages"}},
		{"another glass", func(c *control.Check, int int) { exposure(c, -0.2) }, 18,
			control.QuantityExposure, control.ChangeSudden, []string{"less exposure", "another glass"}},
		{"new lamp", func(c *control.Check, int int) { exposure(c, 0.2) }, 18,
			control.QuantityExposure, control.ChangeSudden, []string{"more exposure", "new or nearer lamp"}},
		{"timer once", func(c *control.Check, since int) {
			if since == 0 {
				exposure(c, 0.45)
			}
		}, 20, control.QuantityExposure, control.ChangeOnce, []string{"once", "timer"}},
		{"thin coat", func(c *control.Check, int int) { c.MaximumDensity.Value -= 0.35 }, 18,
			control.QuantityDensity, control.ChangeSudden, []string{"weaker black", "thinner coat"}},
		{"fog", func(c *control.Check, int int) { c.Paper.Read -= 5 }, 18,
			control.QuantityPaper, control.ChangeSudden, []string{"darker", "fog"}},
		{"new chemistry", func(c *control.Check, int int) { c.Paper.Read -= 5; c.MaximumDensity.Value += 0.4 }, 18,
			control.QuantityDensity, control.ChangeSudden, []string{"new chemistry"}},
		{"contrast", func(c *control.Check, int int) { c.MidTone.Difference += 12 }, 18,
			control.QuantityMidTone, control.ChangeSudden, []string{"lighter", "contrast"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := steady(21, 26)
			for i := c.from; i < len(h); i++ {
				c.change(h[i].Check, i-c.from)
			}
			r := mustDrift(t, h)
			f := findingOf(r, c.quantity)
			if f == nil || !r.Fired {
				t.Fatalf("nothing found; verdict %q", r.Verdict)
			}
			if got := chartOf(t, r, c.quantity).Change.Kind; got != c.kind {
				t.Errorf("kind %q, %q expected: %s", got, c.kind, f.Text)
			}
			all := f.Text + "; " + strings.Join(f.Causes, "; ")
			for _, w := range c.words {
				if !strings.Contains(all, w) {
					t.Errorf("%q does not say %q", all, w)
				}
			}
			if got := slices.IndexFunc(r.Checks, func(k control.DriftCheck) bool { return k.File == f.File }); got < c.from {
				t.Errorf("fired at check %d, the change is at %d", got+1, c.from+1)
			}
		})
	}
}

func TestDriftIsSteady(t *testing.T) {
	r := mustDrift(t, steady(21, 26))
	if r.Fired || len(r.Findings) != 0 || r.Verdict != "steady: no rule fired" {
		t.Errorf("fired %v, %d findings, %q", r.Fired, len(r.Findings), r.Verdict)
	}
}

// A size is told with a doubt that holds: a change by a known amount lies within
// twice its doubt in most histories.
func TestDriftTellsHowFar(t *testing.T) {
	const runs = 200
	inside, found := 0, 0
	for seed := range uint64(runs) {
		w := newWorkroom(rand.New(rand.NewPCG(seed, 12)), 0.3)
		c := chartOf(t, mustDrift(t, w.history(30, 20, -0.15)), control.QuantityExposure)
		if c.Change == nil || !c.Change.Standing {
			continue
		}
		found++
		if by := c.Change.By; by.Value-2*by.SD <= -0.15 && -0.15 <= by.Value+2*by.SD {
			inside++
		}
	}
	if found < runs*9/10 || inside < found*85/100 {
		t.Errorf("%d of %d found, the amount inside its doubt in %d", found, runs, inside)
	}
}

// Longer times hide a lamp that ages, unless the checks tell them.
func TestDriftAtEqualExposure(t *testing.T) {
	h := steady(21, 26)
	for i, in := range h {
		seconds := 480.0
		if i >= 16 {
			seconds = 480 * 1.6 // the lamp lost as much: the offset stays
		}
		in.Check.Record.Exposure, in.Check.Record.ExposureUnit = &seconds, "s"
	}
	r := mustDrift(t, h)
	c := chartOf(t, r, control.QuantityExposure)
	if f := findingOf(r, control.QuantityExposure); f == nil || !c.EqualExposure || !strings.Contains(f.Text, "less exposure") {
		t.Errorf("at equal exposure %v, %q", c.EqualExposure, r.Verdict)
	}
	h[20].Check.Record.Exposure = nil
	r = mustDrift(t, h)
	if c := chartOf(t, r, control.QuantityExposure); c.EqualExposure || !strings.Contains(strings.Join(r.Remarks, "\n"), "the exposures differ") {
		t.Errorf("at equal exposure %v with one not told; remarks %q", c.EqualExposure, r.Remarks)
	}
}

func TestDriftWithFewChecks(t *testing.T) {
	for _, c := range []struct {
		count, baseline int
		verdict         string
	}{
		{1, 0, "1 check: too few"},
		{4, 0, "too few"},
		{5, 5, "5 checks show only large changes"},
		{9, 9, "9 checks show only large changes"},
		{10, 10, "in the ten checks"},
		{11, 10, "steady"},
	} {
		r := mustDrift(t, steady(4, c.count))
		got := 0
		if b := chartOf(t, r, control.QuantityExposure).Baseline; b != nil {
			got = b.Count
		}
		if got != c.baseline || !strings.Contains(r.Verdict, c.verdict) {
			t.Errorf("%d checks: limits from %d, %d expected; verdict %q", c.count, got, c.baseline, r.Verdict)
		}
	}
	h := steady(4, 8)
	h[7].Check.ExposureOffset.Value += 0.6
	if r := mustDrift(t, h); !r.Fired {
		t.Errorf("a change of two stops at the eighth check is not told: %q", r.Verdict)
	}
}

func TestDriftAnswersForTheNewest(t *testing.T) {
	h := steady(21, 26)
	h[15].Check.ExposureOffset.Value += 0.5
	if r := mustDrift(t, h); !r.Fired {
		t.Fatal("the check that stands out is not told")
	}
	r, err := control.Drift(h, control.DriftOptions{Last: 5})
	if err != nil || r.Fired || len(r.Findings) > 0 {
		t.Errorf("fired %v, error %v: the alarm is older than the five newest", r.Fired, err)
	}
}

func TestDriftNamesWhatTheRecordsSay(t *testing.T) {
	h := steady(21, 26)
	for i, in := range h {
		in.Check.Record.InkBatch = "A7"
		damp := 50.0
		if i >= 18 {
			in.Check.Record.InkBatch, damp = "B2", 75
			in.Check.ExposureOffset.Value += 0.25
		}
		in.Check.Record.Humidity = &damp
	}
	f := findingOf(mustDrift(t, h), control.QuantityExposure)
	if f == nil {
		t.Fatal("nothing found")
	}
	causes := strings.Join(f.Causes, "; ")
	for _, w := range []string{"ink batch went from A7 to B2", "humidity was 75 %, and 50 %"} {
		if !strings.Contains(causes, w) {
			t.Errorf("%q does not say %q", causes, w)
		}
	}
}

func TestDriftRefuses(t *testing.T) {
	hashed := func(h []control.DriftInput, i int, sha string) {
		h[i].Check.Readings = "r.csv"
		h[i].Check.Inputs = []calibration.Input{{Name: "r.csv", SHA256: sha}}
	}
	for _, c := range []struct {
		name  string
		mend  func([]control.DriftInput) []control.DriftInput
		words []string
	}{
		{"none", func([]control.DriftInput) []control.DriftInput { return nil }, []string{"no check"}},
		{"another paper", func(h []control.DriftInput) []control.DriftInput {
			h[3].Check.Setup.Paper = "gampi"
			return h
		}, []string{"p04.check.json", "paper", `"gampi"`, `"rag"`}},
		{"another process", func(h []control.DriftInput) []control.DriftInput {
			h[2].Check.Setup.Process = ""
			return h
		}, []string{"p03.check.json", "process is not said"}},
		{"against a print", func(h []control.DriftInput) []control.DriftInput {
			for _, in := range h[1:] {
				in.Check.Calibration = "a.calibration.json"
			}
			return h
		}, []string{"p01.check.json", "another print"}},
		{"one print twice", func(h []control.DriftInput) []control.DriftInput {
			hashed(h, 1, "ab")
			hashed(h, 4, "ab")
			return h
		}, []string{"p05.check.json", "same readings as p02.check.json"}},
	} {
		_, err := control.Drift(c.mend(steady(5, 8)), control.DriftOptions{})
		var f *fault.Error
		if !errors.As(err, &f) || f.Hint == "" {
			t.Errorf("%s: %v, a fault with a hint expected", c.name, err)
			continue
		}
		for _, w := range c.words {
			if !strings.Contains(f.Error(), w) {
				t.Errorf("%s: %q does not say %q", c.name, f.Error(), w)
			}
		}
	}
}

func TestDriftLeavesOutAnotherCalibration(t *testing.T) {
	h := steady(6, 16)
	for i, in := range h {
		sha := "old"
		if i >= 9 {
			sha = "new"
		}
		in.Check.Calibration = "c.calibration.json"
		in.Check.Inputs = []calibration.Input{{Name: "c.calibration.json", SHA256: sha}}
	}
	r := mustDrift(t, h)
	if n := len(chartOf(t, r, control.QuantityExposure).Points); n != 7 {
		t.Errorf("%d checks on the chart of exposure, 7 expected", n)
	}
	if n := len(chartOf(t, r, control.QuantityPaper).Points); n != 16 {
		t.Errorf("%d checks on the chart of paper white, 16 expected", n)
	}
	if !strings.Contains(strings.Join(r.Remarks, "\n"), "another calibration") {
		t.Errorf("remarks %q", r.Remarks)
	}
}

func TestDriftWithoutScatter(t *testing.T) {
	h := steady(7, 14)
	for i, in := range h {
		in.Check.MaximumDensity.Value = 1.4
		if i == 12 {
			in.Check.MaximumDensity.Value = 1.41
		}
	}
	r := mustDrift(t, h)
	if c := chartOf(t, r, control.QuantityDensity); c.Baseline != nil || c.Change != nil {
		t.Errorf("judged by limits of no width: %+v", c.Baseline)
	}
	if !strings.Contains(strings.Join(r.Remarks, "\n"), "nothing scatters") {
		t.Errorf("remarks %q", r.Remarks)
	}
}

// Checks that tell nothing are not said to be too few, and one day is one day.
func TestDriftSaysWhatItHas(t *testing.T) {
	h := steady(7, 14)
	for _, in := range h {
		in.Check.ExposureOffset, in.Check.MaximumDensity, in.Check.Paper, in.Check.MidTone = nil, nil, nil, nil
	}
	if r := mustDrift(t, h); !strings.Contains(r.Verdict, "none of 14 checks tells anything") {
		t.Errorf("checks that tell nothing: %q", r.Verdict)
	}
	h = steady(7, 14)
	day := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	for _, in := range h {
		in.Check.Record.Printed = &day
	}
	if r := mustDrift(t, h); !strings.Contains(strings.Join(r.Remarks, "\n"), "prints of one day only") {
		t.Errorf("prints of one day: %q", r.Remarks)
	}
}

func TestDriftNamesWhatStandsApart(t *testing.T) {
	h := steady(7, 14)
	h[3].Check.Paper.Read -= 20
	if r := mustDrift(t, h); !strings.Contains(strings.Join(r.Remarks, "\n"), "p04.check.json stands apart") {
		t.Errorf("remarks %q", r.Remarks)
	}
}

// Negatives of several ages, printed under another exposure each: the densest ink
// loses most.
func TestDriftSeesFading(t *testing.T) {
	for _, c := range []struct {
		name  string
		month float64 // share of UV density lost in 30 days
		sure  bool
	}{{"dyes", 0.06, true}, {"pigments", 0, false}} {
		h := steady(8, 14)
		random := rand.New(rand.NewPCG(9, 9))
		for i, in := range h {
			hours := float64(i) * 24 * 9
			in.Check.Record.NegativeHours = &hours
			for _, ink := range []float64{0, 25, 50, 75, 100} {
				full := 0.018 * ink
				read := full*(1-c.month*hours/24/30) + in.Check.ExposureOffset.Value + 0.01*random.NormFloat64()
				in.Check.UVDensity = append(in.Check.UVDensity, control.UV{Ink: ink, Expected: full, Read: control.Value{Value: read, SD: 0.01}})
			}
		}
		f := mustDrift(t, h).Fading
		if f == nil {
			t.Fatalf("%s: nothing about fading", c.name)
		}
		if got := -30 * f.ShareADay.Value; f.Sure != c.sure || got < c.month-0.01 || got > c.month+0.01 {
			t.Errorf("%s: %.3f a month, sure %v: %s", c.name, got, f.Sure, f.Text)
		}
	}
	if f := mustDrift(t, steady(8, 14)).Fading; f != nil {
		t.Errorf("fading from nothing: %+v", f)
	}
}

// The order of the files is of no account, nor is what time zone dates are in;
// and the newest checks never change what was said of those before.
func TestDriftProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		seed := rapid.Uint64().Draw(rt, "seed")
		w := newWorkroom(rand.New(rand.NewPCG(seed, 3)), 0.5)
		w.missing = rapid.SampledFrom([]float64{0, 0.3, 0.9}).Draw(rt, "missing")
		h := w.history(rapid.IntRange(1, 40).Draw(rt, "count"), rapid.IntRange(0, 40).Draw(rt, "from"), 0.2)
		whole := mustDrift(t, h)

		mixed := slices.Clone(h)
		w.random.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		if again := mustDrift(t, mixed); !reflect.DeepEqual(whole, again) {
			rt.Fatal("another order of files, another report")
		}
		part := mustDrift(t, h[:rapid.IntRange(1, len(h)).Draw(rt, "part")])
		for i, c := range part.Charts {
			for j, p := range c.Points {
				if !reflect.DeepEqual(p.Fired, whole.Charts[i].Points[j].Fired) {
					rt.Fatalf("%s, check %d: %q, and %q when more were known", c.Name, p.Check, p.Fired, whole.Charts[i].Points[j].Fired)
				}
			}
		}
		for _, f := range whole.Findings {
			if len(f.Causes) == 0 || f.Text == "" || f.File == "" {
				rt.Fatalf("a finding without words: %+v", f)
			}
		}
	})
}

// Whatever numbers the files hold, there is a report that can be written.
func TestDriftTakesAnyNumbers(t *testing.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, 1e-300, 1e308, -1e308, math.NaN(), math.Inf(1), 999, -999}))
	rapid.Check(t, func(rt *rapid.T) {
		value := func(label string) *control.Value {
			return &control.Value{Value: number.Draw(rt, label), SD: number.Draw(rt, label+" sd")}
		}
		h := steady(rapid.Uint64().Draw(rt, "seed"), rapid.IntRange(1, 16).Draw(rt, "count"))
		for _, in := range h {
			if rapid.Bool().Draw(rt, "strange") {
				in.Check.ExposureOffset, in.Check.MaximumDensity = value("offset"), value("density")
				in.Check.Paper.Read = number.Draw(rt, "paper")
				hours, seconds := number.Draw(rt, "hours"), number.Draw(rt, "seconds")
				in.Check.Record.NegativeHours, in.Check.Record.Exposure = &hours, &seconds
				for range rapid.IntRange(0, 4).Draw(rt, "inks") {
					in.Check.UVDensity = append(in.Check.UVDensity, control.UV{Expected: number.Draw(rt, "expected"), Read: *value("read")})
				}
			}
		}
		r, err := control.Drift(h, control.DriftOptions{})
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := json.Marshal(r); err != nil {
			rt.Fatalf("the report cannot be written: %v", err)
		}
	})
}

func TestDriftUsesThePrintsOwnTime(t *testing.T) {
	h := steady(21, 3)
	late := h[2].Check.Made.Add(100 * time.Hour)
	h[0].Check.Record.Printed = &late
	if got := mustDrift(t, h).Checks[2].File; got != "p01.check.json" {
		t.Errorf("the newest is %s", got)
	}
}

func ExampleDrift() {
	var inputs []control.DriftInput
	for i, offset := range []float64{0.02, -0.03, 0.00, 0.04, -0.02, -0.05, 0.03, 0.01, -0.01, 0.02, -0.16, -0.17, -0.15} {
		made := time.Date(2026, 4, 1+2*i, 12, 0, 0, 0, time.UTC)
		inputs = append(inputs, control.DriftInput{File: made.Format("0102") + ".check.json",
			Check: &control.Check{Made: made, Fitted: control.Fitted{ExposureOffset: &control.Value{Value: offset, SD: 0.01}}}})
	}
	report, err := control.Drift(inputs, control.DriftOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(report.Verdict)
	fmt.Println(report.Findings[0].Text)
	// Output:
	// the setup moved: exposure offset
	// less exposure by 0.16 +- 0.02 log10, a factor of 0.69, at one go, at 0421.check.json, 2026-04-21
}
