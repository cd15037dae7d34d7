package control

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
)

// testCalibration is of an invented paper: print density a cumulative normal over
// log exposure, film ink in proportion to UV density.
func testCalibration(tablet bool) *calibration.Calibration {
	c := &calibration.Calibration{Format: calibration.FileFormat, Version: calibration.FileVersion}
	c.Ink.Path = []calibration.PathNode{{Percent: 0, Red: 255, Green: 255, Blue: 255}, {Percent: 100}}
	for i := range 101 {
		uv := 2 * float64(i) / 100
		c.Ink.Percent = append(c.Ink.Percent, float64(i))
		c.Ink.PrintLstar = append(c.Ink.PrintLstar, float64(paperAt(-uv).Lightness()))
		c.Ink.PrintSD = append(c.Ink.PrintSD, 0.1)
		c.Curve.Tone = append(c.Curve.Tone, float64(i))
		c.Curve.Ink = append(c.Curve.Ink, float64(i))
		if tablet {
			c.Ink.UVDensity = append(c.Ink.UVDensity, uv)
			c.Ink.SD = append(c.Ink.SD, 0.01)
		}
	}
	if !tablet {
		return c
	}
	c.Characteristic = &calibration.Characteristic{PaperDensity: &Value{Value: 0.06, SD: 0.01}, MaximumDensity: &Value{Value: 1.46, SD: 0.01}}
	for x := -2.6; x < 0.2; x += 0.05 {
		c.Characteristic.LogExposure = append(c.Characteristic.LogExposure, x)
		c.Characteristic.PrintDensity = append(c.Characteristic.PrintDensity, float64(paperAt(x)))
	}
	given := 480.0
	c.Exposure = calibration.Exposure{Given: &given, FirstBlack: &Value{Value: 400, SD: 20}, Unit: "s"}
	return c
}

func paperAt(x float64) density.Density {
	return density.Density(0.06 + 1.4*normalShare((x+0.9)/0.45))
}

// testReadings is a print of ten inks of that paper that differs.
func testReadings(paper, depth, exposure, contrast float64) *measure.Table {
	t := &measure.Table{Kind: measure.Ramp, Unit: measure.InDensity, Name: "r.csv", File: "r.csv"}
	for i := range 10 {
		r := measure.Blank()
		r.ID, r.Unit, r.Ink = fmt.Sprint("A", i+1), measure.InDensity, float64(10*i)
		x := -1 + (1+contrast)*(1-0.02*r.Ink) + exposure
		r.Value = 0.06 + paper + (1+depth)*(float64(paperAt(x))-0.06)
		t.Readings = append(t.Readings, r)
	}
	return t
}

func judged(t *testing.T, tab *measure.Table, rq Request) *Check {
	t.Helper()
	if rq.Calibration == nil {
		rq.Calibration = testCalibration(true)
	}
	rq.Made = time.Unix(0, 0)
	c, err := Judge(tab, rq)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A print that differs in one way is said to, by as much as it does.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name                             string
		paper, depth, exposure, contrast float64
		kind                             string
	}{
		{"the aim", 0, 0, 0, 0, Nothing},
		{"over", 0, 0, 0.15, 0, Time},
		{"far over", 0, 0, 0.5, 0, Time},
		{"under", 0, 0, -0.2, 0, Time},
		{"far under", 0, 0, -0.6, 0, Time},
		{"hard", 0, 0, 0, 0.3, Contrast},
		{"soft", 0, 0, 0, -0.3, Contrast},
		{"thin coat", 0, -0.3, 0, 0, Black},
		{"fog", 0.12, 0, 0, 0, Paper},
		{"another paper", 0.1, -0.4, 0, 0.4, NewRamp},
	} {
		got := judged(t, testReadings(c.paper, c.depth, c.exposure, c.contrast), Request{})
		if got.Answer.Kind != c.kind {
			t.Errorf("%s: %s, want %s: %+v", c.name, got.Answer.Kind, c.kind, got.Answer)
		}
		near := func(what string, v *Value, want float64) {
			if math.Abs(v.Value-want) > 2.5*v.SD+1e-3 {
				t.Errorf("%s: %s %.4f +- %.4f, want %.3f", c.name, what, v.Value, v.SD, want)
			}
		}
		near("exposure", got.ExposureOffset, c.exposure)
		near("contrast", got.Contrast, c.contrast)
		near("paper", got.PaperDensity, c.paper)
		if f := got.TimeFactor.Value; math.Abs(f-math.Pow(10, -got.ExposureOffset.Value)) > 1e-12 {
			t.Errorf("%s: time factor %g", c.name, f)
		}
	}
}

// A print that is out of tolerance by a change of exposure that scatter might be as
// well is answered with the time that mends it, and a warning; one that scatter of
// another kind put there is not.
func TestTimeThatScatterMayBe(t *testing.T) {
	got := judged(t, testReadings(0, 0, -0.049, 0), Request{Tolerance: 2})
	if got.Inside || got.Answer.Kind != Time || !strings.HasPrefix(got.Answer.Text, "time x1.12") || !strings.Contains(got.Answer.Text, "prints scatter by as much") {
		t.Errorf("a tolerance of 2: %+v", got.Answer)
	}
	if got = judged(t, testReadings(0, 0, -0.2, 0), Request{}); strings.Contains(got.Answer.Text, "scatter") {
		t.Errorf("0.2, which no scatter is: %+v", got.Answer)
	}
	if got = judged(t, testReadings(0, -0.06, 0, 0), Request{Tolerance: 1}); got.Answer.Kind != Again {
		t.Errorf("a thinner coat within scatter: %+v", got.Answer)
	}
}

// With no more than four patches, or without a tablet, differences alone are said.
func TestJudgeWithoutCurve(t *testing.T) {
	short := testReadings(0, 0, 0.3, 0)
	short.Readings = short.Readings[2:6]
	for name, c := range map[string]*Check{
		"no tablet":    judged(t, testReadings(0, 0, 0.3, 0), Request{Calibration: testCalibration(false)}),
		"four patches": judged(t, short, Request{}),
	} {
		if c.ExposureOffset != nil || c.NotFitted == "" || c.Inside || c.Answer.Kind != Unknown || !strings.Contains(c.Answer.Text, "darker by") {
			t.Errorf("%s: %+v, %q", name, c.Answer, c.NotFitted)
		}
	}
}

// A patch with a pinhole in it is left out and changes little.
func TestSpoiledPatch(t *testing.T) {
	tab := testReadings(0, 0, 0.15, 0)
	tab.Readings[4].Value += 0.4
	c := judged(t, tab, Request{})
	if !c.Patches[4].Spoiled || c.Worst == "A5" || math.Abs(c.ExposureOffset.Value-0.15) > 0.02 || c.Answer.Kind != Time {
		t.Errorf("%+v, worst %s, exposure %+v", c.Patches[4], c.Worst, c.ExposureOffset)
	}
	if !slices.ContainsFunc(c.Warnings, func(w string) bool { return strings.Contains(w, "A5") }) {
		t.Errorf("warnings %q", c.Warnings)
	}
}

// One patch that is off alone, on a strip whose patches lie far apart, is taken for
// spoiled and named in the answer; three neighbours that are off are a change of shape.
func TestLonePatchIsNoNewRamp(t *testing.T) {
	strip := func() *measure.Table {
		tab := testReadings(0, 0, 0, 0)
		for i, uv := range []float64{0.1, 0.25, 0.35, 0.5, 0.65, 0.85, 1.05, 1.3, 1.6, 1.9} {
			tab.Readings[i].Ink = 50 * uv
			tab.Readings[i].Value = float64(paperAt(-uv))
		}
		return tab
	}
	tab := strip()
	tab.Readings[6].Value -= 0.16
	c := judged(t, tab, Request{})
	if c.Inside || !c.Patches[6].Spoiled || c.Worst != "A7" || c.Answer.Kind != Again || !strings.HasPrefix(c.Answer.Text, "read patch A7 again") {
		t.Errorf("one patch: %+v, %+v", c.Answer, c.Patches[6])
	}
	again := *tab
	again.Readings = append(slices.Clone(tab.Readings), tab.Readings[6])
	again.Readings[10].ID, again.Readings[10].Value = "A11", float64(paperAt(-1.05))
	if c = judged(t, &again, Request{}); !c.Inside || c.Answer.Kind != Nothing || !strings.Contains(c.Answer.Text, "patch A7 is left out") {
		t.Errorf("one patch of two of its tone: %+v, worst %s", c.Answer, c.Worst)
	}
	tab = strip()
	for i, by := range []float64{0.12, 0.2, 0.12} {
		tab.Readings[5+i].Value -= by
		tab.Readings[1+i].Value += by / 2
	}
	if c = judged(t, tab, Request{}); c.Answer.Kind == Nothing || c.Answer.Kind == Time || c.Inside {
		t.Errorf("a change of shape: %+v", c.Answer)
	}
}

func TestStripIsKnownByNumber(t *testing.T) {
	strip := []StripPatch{{"1", 6}, {"2", 3}, {"3", 1}, {"4", 0}, {"5", 50}, {"6", 100}}
	tab := &measure.Table{Kind: measure.Patches, Unit: measure.InDensity, Name: "s.csv", File: "s.csv"}
	for i, id := range []string{"1", "02", "strip 3", "4", "5", "6"} {
		r := measure.Blank()
		r.ID, r.Unit, r.Line = id, measure.InDensity, i+2
		r.Value = float64(paperAt(-0.02 * strip[i].Tone))
		tab.Readings = append(tab.Readings, r)
	}
	c := judged(t, tab, Request{Strip: strip})
	if !c.Inside || c.Answer.Kind != Nothing || math.Abs(c.WorstBy) > 0.1 || *c.Patches[4].Tone != 50 {
		t.Errorf("worst %g, %+v", c.WorstBy, c.Answer)
	}
	tab.Readings[2].ID = "11"
	_, err := Judge(tab, Request{Strip: strip, Calibration: testCalibration(true)})
	if err == nil || !strings.Contains(err.Error(), "line 4: patch 11") {
		t.Errorf("patch 11: %v", err)
	}
}

func TestCompare(t *testing.T) {
	c, err := Compare(testReadings(0, 0, 0.15, 0), testReadings(0, 0, 0, 0), Request{})
	if err != nil || c.NotFitted == "" || c.Against != "r.csv" || c.Inside {
		t.Fatalf("%v, %+v", err, c)
	}
	c, err = Compare(testReadings(0, 0, 0.25, 0), testReadings(0, 0, 0.05, 0), Request{Calibration: testCalibration(true)})
	if err != nil || math.Abs(c.ExposureOffset.Value-0.2) > 0.05 || c.Answer.Kind != Time {
		t.Errorf("%v, exposure %+v, %+v", err, c.ExposureOffset, c.Answer)
	}
	other := testReadings(0, 0, 0, 0)
	other.Readings[3].Ink = 31
	if _, err = Compare(testReadings(0, 0, 0, 0), other, Request{}); err == nil || !strings.Contains(err.Error(), "patch A4") {
		t.Errorf("other ink: %v", err)
	}
	other.Readings = other.Readings[:2]
	if _, err = Compare(testReadings(0, 0, 0, 0), other, Request{}); err == nil || !strings.Contains(err.Error(), "2 patches in common") {
		t.Errorf("few in common: %v", err)
	}
}

// The tolerance of repeats follows their scatter, with Student's t of their number.
func TestToleranceOfRepeats(t *testing.T) {
	var repeats []*Check
	for _, d := range []float64{-1, 1, -1, 1} { // sd sqrt(4/3) in each patch
		c := &Check{}
		for i := range 5 {
			c.Patches = append(c.Patches, Patch{ID: fmt.Sprint(i), Difference: d})
		}
		repeats = append(repeats, c)
	}
	got := (&Request{Repeats: repeats}).tolerance()
	// t of 3 degrees of freedom at 0.99375: 5.392 (scipy.stats.t.ppf(0.99375, 3)).
	if want := 5.392 * math.Sqrt(4.0/3) * math.Sqrt(1.25); math.Abs(got.Lstar-want) > 0.005 {
		t.Errorf("%g, want %g", got.Lstar, want)
	}
	if got := (&Request{Repeats: repeats[:2]}).tolerance(); got.Lstar != UsualTolerance {
		t.Errorf("two repeats: %+v", got)
	}
	if got := (&Request{Repeats: repeats, Tolerance: 2}).tolerance(); got.Lstar != 2 || got.Source != "given" {
		t.Errorf("given: %+v", got)
	}
}

func TestUpdate(t *testing.T) {
	old := testCalibration(true)
	got, said, err := judged(t, testReadings(0, 0, 0.2, 0), Request{}).Update(old, time.Unix(0, 0))
	if err != nil {
		t.Fatal(err)
	}
	if f := *got.Exposure.Given / 480; math.Abs(math.Log10(f)+0.2) > 0.03 || math.Abs(got.Exposure.FirstBlack.Value/400-f) > 1e-9 || got.Exposure.FirstBlack.SD < 20*f {
		t.Errorf("given %g, first black %+v; %s", *got.Exposure.Given, got.Exposure.FirstBlack, said)
	}
	if *old.Exposure.Given != 480 || len(old.Cautions) != 0 {
		t.Error("the calibration that was read has changed")
	}
	// A print of twice the time that is twice as exposed moves nothing.
	twice := 960.0
	c := judged(t, testReadings(0, 0, 0.30103, 0), Request{Record: Record{Exposure: &twice, ExposureUnit: "s"}})
	if got, _, err = c.Update(old, time.Unix(0, 0)); err != nil || math.Abs(*got.Exposure.Given/480-1) > 0.07 {
		t.Errorf("%v, given %v", err, got.Exposure.Given)
	}
	for what, c := range map[string]*Check{
		"within what prints scatter": judged(t, testReadings(0, 0, 0.01, 0), Request{}),
		"exposure alone":             judged(t, testReadings(0, 0, 0, 0.4), Request{}),
		"does not tell":              judged(t, testReadings(0, 0, 0.3, 0), Request{Calibration: testCalibration(false)}),
	} {
		if _, _, err := c.Update(old, time.Unix(0, 0)); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%v, want %q", err, what)
		}
	}
}

func TestMismatches(t *testing.T) {
	c := testCalibration(true)
	c.Setup.InkBatch, c.Setup.Coats = "B7", "one, brushed"
	hours, humid, dried, damp, short := 2.0, 50.0, 24.0, 65.0, 3.0
	c.Conditions = calibration.Conditions{FilmBatch: "F1", DryingHours: &dried, Humidity: &damp}
	got := judged(t, testReadings(0, 0, 0, 0), Request{Calibration: c,
		Record: Record{InkBatch: "b7 ", Coats: "two", Toning: "tea", HoursDry: &hours, Humidity: &humid, FilmBatch: "F2", DryingHours: &short}}).Warnings
	for _, want := range []string{`coats: this print has "two"`, "was toned (tea)", "read 2 h after drying",
		`film batch: this print has "F2"`, "humidity: 50 % for this print, 65 %", "dried for 3 h, the calibration's chart for 24"} {
		if !slices.ContainsFunc(got, func(w string) bool { return strings.Contains(w, want) }) {
			t.Errorf("no warning %q in %q", want, got)
		}
	}
	if len(got) != 6 {
		t.Errorf("%q", got)
	}
	near := 60.0
	if got := judged(t, testReadings(0, 0, 0, 0), Request{Calibration: c, Record: Record{FilmBatch: "f1", DryingHours: &dried, Humidity: &near}}).Warnings; len(got) != 0 {
		t.Errorf("the calibration's own conditions: %q", got)
	}
}

// A ramp of another ink colour is told by its printer code values.
func TestOffThePath(t *testing.T) {
	tab := testReadings(0, 0, 0, 0)
	for i := range tab.Readings {
		v := 255 - 2.55*tab.Readings[i].Ink
		tab.Readings[i].HasDevice, tab.Readings[i].Device = true, [3]float64{v, v, v}
	}
	if w := judged(t, tab, Request{}).Warnings; len(w) != 0 {
		t.Errorf("the calibration's ink: %q", w)
	}
	tab.Readings[9].Device[2] = 200
	if w := judged(t, tab, Request{}).Warnings; len(w) != 1 || !strings.Contains(w[0], "patch A10 was printed with another ink colour") {
		t.Errorf("another ink: %q", w)
	}
}

func TestFileRoundTrip(t *testing.T) {
	hours := 3.0
	c := judged(t, testReadings(0, 0, 0.1, 0), Request{Record: Record{DryingHours: &hours, FilmBatch: "7"}})
	var b, again bytes.Buffer
	if err := c.Encode(&b); err != nil {
		t.Fatal(err)
	}
	back, err := DecodeCheck(bytes.NewReader(b.Bytes()), "c.check.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := back.Encode(&again); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Errorf("changed by writing and reading: %v", err)
	}
	for old, why := range map[string]string{
		`"version": 1`:       "field version",
		`"patch": "A2"`:      `patch "A1"`,
		`"drying_hours": 3`:  "field record.drying_hours",
		`"worst_patch"`:      "unknown field",
		`"exposure_offset"`:  "unknown field",
		`"format": "actinic`: "field format",
	} {
		to := map[string]string{`"version": 1`: `"version": 2`, `"patch": "A2"`: `"patch": "A1"`, `"drying_hours": 3`: `"drying_hours": -3`,
			`"worst_patch"`: `"worst"`, `"exposure_offset"`: `"offset"`, `"format": "actinic`: `"format": "another`}[old]
		if _, err := DecodeCheck(strings.NewReader(strings.Replace(b.String(), old, to, 1)), "c.check.json"); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: %v, want %q", to, err, why)
		}
	}
}

func FuzzDecodeCheck(f *testing.F) {
	f.Add([]byte(`{"format":"actinic check","version":1,"patches":[{"patch":"1"}]}`))
	f.Add([]byte(`{"format":"actinic check","version":1,"patches":[{"patch":"1","aim_lstar":1e300}]}`))
	f.Add([]byte(`{}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := DecodeCheck(bytes.NewReader(data), "f")
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := c.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := DecodeCheck(&b, "f"); err != nil {
			t.Fatalf("written, then refused: %v", err)
		}
	})
}

// No readings make numbers that cannot be written, or an answer without a word.
func TestAnyReadings(t *testing.T) {
	c := testCalibration(true)
	rapid.Check(t, func(t *rapid.T) {
		tab := testReadings(0, 0, 0, 0)
		n := rapid.IntRange(3, 10).Draw(t, "patches")
		tab.Readings = tab.Readings[:n]
		for i := range tab.Readings {
			tab.Readings[i].Value = rapid.Float64Range(0, 6).Draw(t, "density")
			tab.Readings[i].Ink = rapid.Float64Range(0, 100).Draw(t, "ink")
			tab.Readings[i].SD = rapid.Float64Range(0, 1).Draw(t, "sd")
		}
		got, err := Judge(tab, Request{Calibration: c})
		if err != nil {
			if !strings.Contains(err.Error(), "darker where the aim gets lighter") {
				t.Fatal(err)
			}
			return
		}
		var b bytes.Buffer
		if err := got.Encode(&b); err != nil || got.Answer.Text == "" {
			t.Fatalf("%v, %+v", err, got.Answer)
		}
		if _, err := DecodeCheck(&b, "c"); err != nil {
			t.Fatal(err)
		}
	})
}

// A whole ramp, patch by patch twice, takes no longer than a strip to speak of, says
// the same, and names the patch that is spoiled.
func TestWholeRamp(t *testing.T) {
	tab := testReadings(0, 0, 0.15, 0)
	tab.Readings = nil
	for i := range 2000 {
		one := testReadings(0, 0, 0.15, 0).Readings[0]
		one.ID, one.Ink = fmt.Sprint("P", i), float64(i%200)/2
		one.Value = float64(paperAt(0.15-0.02*one.Ink)) + 0.004*float64(i%3-1)
		tab.Readings = append(tab.Readings, one)
	}
	tab.Readings[801].Value += 0.5
	c := judged(t, tab, Request{})
	if math.Abs(c.ExposureOffset.Value-0.15) > 2.5*c.ExposureOffset.SD+1e-3 || c.Answer.Kind != Time || !c.Patches[801].Spoiled || len(c.Patches) != 2000 {
		t.Errorf("exposure %+v, %+v, %+v", c.ExposureOffset, c.Answer, c.Patches[801])
	}
	spoiled := 0
	for _, p := range c.Patches {
		if p.Spoiled {
			spoiled++
		}
	}
	if spoiled != 1 {
		t.Errorf("%d patches left out, want the spoiled one", spoiled)
	}
}
