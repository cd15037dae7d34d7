package measure

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"actinic/process/density"
)

var created = time.Date(2025, 1, 31, 12, 0, 0, 0, time.FixedZone("", 3600))

// nanEqual lets absent figures equal each other, typed ones too.
var nanEqual = cmp.Options{cmpopts.EquateNaNs(), cmp.Comparer(func(a, b density.Density) bool {
	return a == b || (math.IsNaN(float64(a)) && math.IsNaN(float64(b)))
})}

// same compares what a file carries: not where it was read, nor what the reader
// had to say.
func same(a, b *Table) string {
	return cmp.Diff(a, b, nanEqual, cmpopts.EquateEmpty(),
		cmpopts.IgnoreFields(Table{}, "File", "Name", "SHA256", "Notices"), cmpopts.IgnoreFields(Reading{}, "Line"))
}

func TestWriteCSV(t *testing.T) {
	in := "patch,ink,red,green,blue,print_lstar,sd,count,x_mm,y_mm,flag\n" +
		"A1,0,255,255,255,20.5,0.1,9,10,12.5,\n" +
		"\"B,1\",100,0,0,0,92.000000001,,,,,dust\n"
	var b bytes.Buffer
	if err := WriteCSV(&b, read(t, in, nil)); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(in, b.String()); d != "" {
		t.Error(d)
	}
}

func TestWriteISO28178(t *testing.T) {
	var b bytes.Buffer
	tab := read(t, "step,tablet_density,print_density,sd\n1,0.05,1.42,\n2,0.2,1.375,0.01\n", nil)
	if err := WriteISO28178(&b, tab, created); err != nil {
		t.Fatal(err)
	}
	want := `CGATS.17
ORIGINATOR "actinic"
FILE_DESCRIPTOR "readings of a step tablet"
CREATED "2025-01-31T11:00:00Z"
KEYWORD "TABLET_DENSITY"
KEYWORD "SD"
NUMBER_OF_FIELDS 4
BEGIN_DATA_FORMAT
SAMPLE_ID TABLET_DENSITY D_VIS SD
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
"1" 0.05 1.42 ""
"2" 0.2 1.375 0.01
END_DATA
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Error(d)
	}
}

func TestWriteRefuses(t *testing.T) {
	tab := rampOf(20, 30)
	for _, id := range []string{"a\nb", " a", "a\x00", "\xff"} {
		tab.Readings[0].ID = id
		wantFault(t, id, WriteCSV(&bytes.Buffer{}, tab))
		wantFault(t, id, WriteISO28178(&bytes.Buffer{}, tab, created))
	}
	tab.Readings[0].ID = `a"b`
	if err := WriteCSV(&bytes.Buffer{}, tab); err != nil {
		t.Error(err)
	}
	wantFault(t, "quote", WriteISO28178(&bytes.Buffer{}, tab, created))
	tab.Readings[0].ID, tab.Readings[0].Value = "a", math.Inf(1)
	wantFault(t, "infinite", WriteCSV(&bytes.Buffer{}, tab))
	wantFault(t, "spectra", WriteISO28178(&bytes.Buffer{}, &Table{Kind: Spectra, File: "s.csv"}, created))
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, fmt.Errorf("disk full") }

func TestWriteReportsFailure(t *testing.T) {
	tab := rampOf(20, 30)
	if WriteCSV(brokenWriter{}, tab) == nil || WriteISO28178(brokenWriter{}, tab, created) == nil {
		t.Error("a failed write was not reported")
	}
}

// name draws text that a person may write, trimmed, with the signs that the
// formats give a meaning to.
func name(quotes bool) *rapid.Generator[string] {
	alphabet := []rune("aZ09 ,;#.-é\t")
	if quotes {
		alphabet = append(alphabet, '"')
	}
	return rapid.Custom(func(t *rapid.T) string {
		return strings.TrimSpace(rapid.StringOfN(rapid.RuneFrom(alphabet), 0, 8, -1).Draw(t, "text"))
	})
}

func maybe(t *rapid.T, what string, low, high float64) float64 {
	if rapid.Bool().Draw(t, "no "+what) {
		return math.NaN()
	}
	return rapid.Float64Range(low, high).Draw(t, what)
}

func drawTable(t *rapid.T, quotes bool) *Table {
	tab := &Table{Kind: rapid.SampledFrom([]Kind{Tablet, Ramp, Colours}).Draw(t, "kind"), Unit: rapid.SampledFrom([]Unit{InDensity, InLightness}).Draw(t, "unit")}
	device := tab.Kind == Colours || (tab.Kind == Ramp && rapid.Bool().Draw(t, "device"))
	high := 6.0
	if tab.Unit == InLightness {
		high = 100
	}
	for i := range rapid.IntRange(1, 12).Draw(t, "readings") {
		r := Blank()
		r.ID = fmt.Sprintf("%s%02d", name(quotes).Draw(t, "id"), i) // of one width, so that no two agree
		r.Unit, r.Value = tab.Unit, rapid.Float64Range(high*0.9, high).Draw(t, "value")
		r.SD, r.Spread = maybe(t, "sd", 0, 1), maybe(t, "spread", 0, 10)
		r.XMM, r.YMM = maybe(t, "x", -10, 300), maybe(t, "y", -10, 300)
		r.Count, r.Flag = rapid.IntRange(0, 1e6).Draw(t, "count"), name(quotes).Draw(t, "flag")
		r.LabA, r.LabB = maybe(t, "a", -100, 100), maybe(t, "b", -100, 100)
		switch tab.Kind {
		case Tablet:
			r.Tablet, r.Strip = density.Density(rapid.Float64Range(0, 6).Draw(t, "tablet")), name(quotes).Draw(t, "strip")
		case Ramp:
			r.Ink = rapid.Float64Range(1.1, 100).Draw(t, "ink")
		}
		if r.HasDevice = device; device {
			for k := range r.Device {
				r.Device[k] = rapid.Float64Range(1.1, 255).Draw(t, "device")
			}
		}
		tab.Readings = append(tab.Readings, r)
	}
	return tab
}

func TestCSVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tab := drawTable(t, true)
		var b bytes.Buffer
		if err := WriteCSV(&b, tab); err != nil {
			t.Fatal(err)
		}
		back, err := Read(bytes.NewReader(b.Bytes()), "r.csv", nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if d := same(tab, back); d != "" {
			t.Fatalf("%s\n%s", d, b.String())
		}
	})
}

func TestISO28178RoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tab := drawTable(t, false)
		var b bytes.Buffer
		if err := WriteISO28178(&b, tab, created); err != nil {
			t.Fatal(err)
		}
		back, err := Read(bytes.NewReader(b.Bytes()), "r.txt", nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if d := same(tab, back); d != "" {
			t.Fatalf("%s\n%s", d, b.String())
		}
	})
}

func TestSpectraRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tab := &Table{Kind: Spectra}
		nm := 299.0
		for range rapid.IntRange(1, 10).Draw(t, "rows") {
			nm += rapid.Float64Range(0.01, 20).Draw(t, "step")
			tab.WavelengthsNM = append(tab.WavelengthsNM, nm)
		}
		for i := range rapid.IntRange(1, 5).Draw(t, "samples") {
			s := Sample{Name: fmt.Sprintf("%d%s", i, name(true).Draw(t, "name"))}
			for range tab.WavelengthsNM {
				s.Values = append(s.Values, rapid.Float64Range(0, 1.5).Draw(t, "value"))
			}
			tab.Samples = append(tab.Samples, s)
		}
		var b bytes.Buffer
		if err := WriteCSV(&b, tab); err != nil {
			t.Fatal(err)
		}
		back, err := Read(bytes.NewReader(b.Bytes()), "s.csv", nil)
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if d := same(tab, back); d != "" {
			t.Fatalf("%s\n%s", d, b.String())
		}
	})
}
