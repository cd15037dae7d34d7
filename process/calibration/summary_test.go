package calibration

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strconv"
	"testing"
	"time"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/printer"
	"actinic/process/sensitometry"
)

// The paper of these tests is a logistic in log exposure, so that its figures
// follow by hand: at exposure x it prints 0.08 + 1.4/(1 + exp(-4(x + 1.2))).
func logisticPaper(x float64) float64 { return 0.08 + 1.4/(1+math.Exp(-4*(x+1.2))) }

// logisticAt is the log exposure of a share of net density.
func logisticAt(share float64) float64 { return -1.2 + math.Log(share/(1-share))/4 }

func logisticTablet(steps int) *measure.Table {
	t := &measure.Table{Kind: measure.Tablet, Unit: measure.InDensity, Name: "t.csv"}
	for i := range steps {
		d := 0.05 + 0.15*float64(i)
		t.Readings = append(t.Readings, flat(func(r *measure.Reading) {
			r.ID, r.Tablet, r.Value = strconv.Itoa(i+1), density.Density(d), logisticPaper(-d)
		}))
	}
	return t
}

func logisticRamp(full float64) *measure.Table {
	t := &measure.Table{Kind: measure.Ramp, Unit: measure.InDensity, Name: "r.csv"}
	for i := range 41 {
		u := float64(i) / 40
		t.Readings = append(t.Readings, flat(func(r *measure.Reading) {
			r.ID, r.Ink, r.Value = strconv.Itoa(i), 100*u, logisticPaper(-full*u)
		}))
	}
	return t
}

// flat is a reading without anything that is not set.
func flat(set func(*measure.Reading)) measure.Reading {
	nan := math.NaN()
	r := measure.Reading{Tablet: density.Density(nan), Ink: nan, Value: nan, SD: nan, Spread: nan, XMM: nan, YMM: nan,
		TabletSD: nan, LabA: nan, LabB: nan, Unit: measure.InDensity}
	set(&r)
	return r
}

func fitted1(t *testing.T, p Print) *Estimate {
	t.Helper()
	e, err := Fit([]Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %g, want %g within %g", what, got, want, tolerance)
	}
}

func TestTabletSummary(t *testing.T) {
	s := fitted1(t, Print{Tablet: logisticTablet(21)}).TabletSummary(sensitometry.Exposure{Amount: 480, Unit: sensitometry.Seconds})
	toe, shoulder, black := logisticAt(0.04/1.4), logisticAt(0.9), logisticAt(0.97)
	near(t, "exposure scale", s.ExposureScale.Log10.Value, shoulder-toe, 0.01)
	near(t, "exposure scale in stops", s.ExposureScale.Stops.Value, s.ExposureScale.Log10.Value/math.Log10(2), 1e-9)
	near(t, "exposure scale in steps", s.ExposureScale.Steps.Value, s.ExposureScale.Log10.Value/0.15, 1e-6)
	near(t, "needed range", s.NeededRange.Log10.Value, black-toe, 0.015)
	near(t, "first black", s.FirstBlack.Value, 480*math.Pow(10, black), 5)
	near(t, "first black's share", s.FirstBlackShare.Value, s.FirstBlack.Value/480, 1e-9)
	near(t, "tablet increment", *s.Increment, 0.15, 1e-9)
	if s.Steps != 21 || *s.ISORange != 140 || s.Nominal || s.Falling || len(s.Missing)+len(s.Reversed) > 0 {
		t.Errorf("summary %+v", s)
	}
	if _, err := json.Marshal(s); err != nil {
		t.Error(err)
	}
}

// A tablet that ends before paper white leaves nulls, and says what is missing.
func TestTabletSummaryOfAShortTablet(t *testing.T) {
	s := fitted1(t, Print{Tablet: logisticTablet(11)}).TabletSummary(sensitometry.Exposure{})
	if s.ExposureScale != nil || s.NeededRange != nil || s.ISORange != nil || s.FirstBlack != nil || len(s.Missing) != 1 {
		t.Errorf("summary %+v, want nothing that needs paper white, and one end missing", s)
	}
	if s.Black == nil || s.FirstBlackShare == nil {
		t.Error("black was read and is not told")
	}
}

func TestIncrementOfUnevenTablets(t *testing.T) {
	gap := logisticTablet(21)
	gap.Readings = append(gap.Readings[:5:5], gap.Readings[9:]...)
	if got := increment(gap); got != nil {
		t.Errorf("a tablet with four steps left out has an increment of %g", *got)
	}
	twice := logisticTablet(8)
	twice.Readings = append(twice.Readings, twice.Readings...)
	if got := increment(twice); got == nil || math.Abs(*got-0.15) > 1e-9 {
		t.Errorf("two strips of 0.15 have the increment %v", got)
	}
}

// By hand: with 8 min, step 3 (0.35) black and step 4 (0.50) not, black is reached
// between 8 x 10^-0.50 and 8 x 10^-0.35 min.
func TestSummariseEye(t *testing.T) {
	var steps []density.Density
	for i := range 21 {
		steps = append(steps, density.Density(0.05+0.15*float64(i)))
	}
	eye, err := sensitometry.ReadByEye(steps, 3, 14)
	if err != nil {
		t.Fatal(err)
	}
	s := SummariseEye(eye, sensitometry.Exposure{Amount: 480, Unit: sensitometry.Seconds})
	if low, high := 480*math.Pow(10, -0.50), 480*math.Pow(10, -0.35); !(s.FirstBlack.Value > low && s.FirstBlack.Value < high) {
		t.Errorf("first black %g s, want between %g and %g", s.FirstBlack.Value, low, high)
	}
	near(t, "needed range", s.NeededRange.Log10.Value, 11*0.15, 1e-9)
	near(t, "needed range in steps", s.NeededRange.Steps.Value, 11, 1e-9)
}

func built(t *testing.T, p Print) (*Estimate, *Calibration) {
	t.Helper()
	e := fitted1(t, p)
	c, err := e.Build(Request{Aim: AimLightness, Made: time.Unix(0, 0), Exposure: 480, Unit: "s", Cautions: []string{"wear gloves"}})
	if err != nil {
		t.Fatal(err)
	}
	return e, c
}

func TestCurveSummary(t *testing.T) {
	toe := logisticAt(0.04 / 1.4)
	for _, test := range []struct {
		full    float64
		reaches bool
	}{{2.4, true}, {1.5, false}} {
		e, c := built(t, Print{Tablet: logisticTablet(21), Ramp: logisticRamp(test.full)})
		s := e.Summary(c, 1)
		near(t, "ink range", s.InkRange.Value, test.full, 0.05)
		near(t, "UV density for white", s.WhiteNeeds.Value, -toe, 0.02)
		if *s.InkReaches != test.reaches || len(s.Cautions) != 1 || s.Cautions[0] != "wear gloves" {
			t.Errorf("full ink %g: reaches white %v, cautions %q", test.full, *s.InkReaches, s.Cautions)
		}
		if !(s.MiddleSD > 0 && s.LargestSD >= s.MiddleSD && s.PrintSD > s.MiddleSD && s.BlackLstar < s.WhiteLstar) {
			t.Errorf("summary %+v", s)
		}
	}
	e, c := built(t, Print{Ramp: logisticRamp(2.4)})
	if s := e.Summary(c, 1); s.InkRange != nil || s.WhiteNeeds != nil || s.NeededRange != nil {
		t.Errorf("without a tablet the summary knows %+v", s)
	}
}

func TestLines(t *testing.T) {
	e, c := built(t, Print{Tablet: logisticTablet(21), Ramp: logisticRamp(2.4)})
	expected, aim, err := c.ExpectedPrint()
	if err != nil {
		t.Fatal(err)
	}
	for i := range expected.X {
		near(t, "expected print", expected.Y[i], aim.Y[i], 0.05)
	}
	for name, l := range map[string]Line{"estimate": e.CharacteristicLine(), "file": c.CharacteristicLine()} {
		for i, x := range l.X {
			near(t, "characteristic curve of the "+name, l.Y[i], logisticPaper(x), 0.01)
			if !(l.Low[i] <= l.Y[i] && l.Y[i] <= l.High[i]) {
				t.Fatalf("band of the %s: %g to %g about %g", name, l.Low[i], l.High[i], l.Y[i])
			}
		}
	}
	good, spoiled := e.TabletPoints()
	if len(good.X)+len(spoiled.X) != 21 || len(e.Landmarks()) != 4 || len(c.InkLandmarks()) != 3 {
		t.Errorf("%d and %d readings, landmarks %v", len(good.X), len(spoiled.X), e.Landmarks())
	}
	if l := c.UVDensityLine(); math.Abs(l.Y[100]-1.2) > 0.03 {
		t.Errorf("UV density at half the ink %g, want 1.2", l.Y[100])
	}
}

func TestWriteCurveCSV(t *testing.T) {
	for _, p := range []Print{{Ramp: logisticRamp(2.4)}, {Ramp: logisticRamp(2.4), Tablet: logisticTablet(21)}} {
		_, c := built(t, p)
		var b bytes.Buffer
		if err := c.WriteCurveCSV(&b); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != len(c.Curve.Tone)+1 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		if known := rows[0][len(rows[0])-1] == "uv_density"; known != (p.Tablet != nil) {
			t.Errorf("columns %v", rows[0])
		}
		for i, row := range rows[1:] {
			if ink, err := strconv.ParseFloat(row[1], 64); err != nil || ink != c.Curve.Ink[i] {
				t.Fatalf("row %d: ink %s, want exactly %g", i+2, row[1], c.Curve.Ink[i])
			}
		}
	}
}

func TestDarkness(t *testing.T) {
	_, c := built(t, Print{Ramp: logisticRamp(2.4)})
	c.Ink.Path = printer.Straight(printer.RGB{51, 51, 51})
	k, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	for _, tone := range []float64{0, 20, 50, 100} {
		near(t, "darkness", k.Darkness(tone), 0.8*k.Ink(tone), 1e-9)
	}
}

// The digest is that of FIPS 180-2, appendix B.1, for "abc".
func TestNewInput(t *testing.T) {
	got := NewInput("folder/x.csv", []byte("abc"))
	want := Input{"x.csv", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}
	if got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}
