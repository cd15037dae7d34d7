package chart

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

func ptr[T any](v T) *T { return &v }

// aRamp has six patches of ink on two pages and one of a printer value only.
func aRamp() *Chart {
	c := &Chart{Kind: Ramp, Pages: make([]Page, 2)}
	for i, id := range []string{"A1", "A2", "B10", "2-A1", "2-A2", "2-B10"} {
		ink := float64(20 * i)
		grey := math.Round(255 - 2.55*ink)
		c.Pages[i/3].Patches = append(c.Pages[i/3].Patches, Patch{ID: id, Rect: Rect{float64(10 * i), 5, 8, 6},
			Ink: &ink, Device: &[3]float64{grey, grey, grey}})
	}
	c.Pages[1].Patches = append(c.Pages[1].Patches, Patch{ID: "v64", Rect: Rect{1, 2, 3, 4}, Device: &[3]float64{64, 64, 64}})
	return c
}

func instrument(t *testing.T, text string) *measure.Table {
	t.Helper()
	table, err := measure.Read(strings.NewReader(text), "spot.csv", &measure.Options{ByPatch: true})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

const spots = "patch,print_density,sd\nV64,0.7,\n2-b10,0.1,\na1,1.5,0.01\nA02,1.3,\nb10,0.9,\n2-A01,0.5,\n"

func TestMatchRamp(t *testing.T) {
	out, report, err := Match(instrument(t, spots), aRamp())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range out.Readings {
		got = append(got, fmt.Sprintf("%s %g%% %g at %g,%g of %g", r.ID, r.Ink, r.Value, r.XMM, r.YMM, r.Device[0]))
	}
	want := []string{"A1 0% 1.5 at 4,8 of 255", "A2 20% 1.3 at 14,8 of 204", "B10 40% 0.9 at 24,8 of 153",
		"2-A1 60% 0.5 at 34,8 of 102", "2-B10 100% 0.1 at 54,8 of 0"}
	if !slices.Equal(got, want) {
		t.Errorf("matched\n%q, want\n%q", got, want)
	}
	if out.Kind != measure.Ramp || out.Name != "spot.csv" || out.SHA256 == "" || out.Readings[0].SD != 0.01 || !math.IsNaN(out.Readings[1].SD) {
		t.Errorf("table %+v", out)
	}
	if report.Matched != 6 || !slices.Equal(report.Missing, []string{"2-A2"}) ||
		!slices.Equal(report.Notices, []string{"1 of 7 patches were not read: 2-A2"}) {
		t.Errorf("report %+v", report)
	}
	if f := report.Fixed; f == nil || f.Kind != measure.Colours || len(f.Readings) != 1 || f.Readings[0].Device[1] != 64 || f.Readings[0].Value != 0.7 {
		t.Errorf("fixed values %+v", report.Fixed)
	}
	// What comes out can be written and read as a ramp.
	var b strings.Builder
	if err := measure.WriteCSV(&b, out); err != nil {
		t.Fatal(err)
	}
	back, err := measure.Read(strings.NewReader(b.String()), "r.csv", nil)
	if err != nil || back.Kind != measure.Ramp || len(back.Notices) > 0 {
		t.Errorf("read back: %v, %v", back, err)
	}
}

// ISO 28178 text, whose SAMPLE_ID is the patch; L* of XYZ_Y 18.42 is 50 (CIE 15).
func TestMatchISO28178(t *testing.T) {
	in := "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_Y\nEND_DATA_FORMAT\nBEGIN_DATA\nA1 4\nA2 9\nB10 18.42\n2-A1 40\nEND_DATA\n"
	out, report, err := Match(instrument(t, in), aRamp())
	if err != nil {
		t.Fatal(err)
	}
	if v := out.Readings[2].Value; len(out.Readings) != 4 || out.Unit != measure.InLightness || math.Abs(v-50) > 0.01 {
		t.Errorf("L* %g of %d readings", v, len(out.Readings))
	}
	if report.Fixed != nil || len(report.Missing) != 3 {
		t.Errorf("report %+v", report)
	}
}

func TestMatchExposures(t *testing.T) {
	c := &Chart{Kind: Exposure, ExposureUnit: sensitometry.Seconds, Pages: []Page{{Patches: []Patch{
		{ID: "1", Exposure: ptr(60.0), Device: &[3]float64{255, 255, 255}}, {ID: "2", Exposure: ptr(120.0), Device: &[3]float64{255, 255, 255}},
		{ID: "full-tl", Device: &[3]float64{}},
	}}}}
	out, _, err := Match(instrument(t, "patch,print_lstar\n01,60\n2,40\n"), c)
	if err != nil {
		t.Fatal(err)
	}
	if out.Kind != measure.Exposures || out.Readings[1].Exposure != (sensitometry.Exposure{Amount: 120, Unit: sensitometry.Seconds}) || out.Readings[1].HasDevice {
		t.Errorf("%+v", out.Readings)
	}
	out, _, err = Match(instrument(t, "patch,exposure_s,print_lstar\n1,60,50\n2,125,40\n"), c)
	if err != nil || out.Readings[1].Exposure.Amount != 125 {
		t.Errorf("an exposure that the readings state: %+v, %v", out, err)
	}
}

func TestMatchRefuses(t *testing.T) {
	padded := aRamp()
	padded.Pages[0].Patches[1].ID = "A01" // beside A1: now A001 is neither
	tests := []struct {
		name, in string
		c        *Chart
		want     []string // parts of the message
	}{
		{"extra", spots + "C9,1,\n", aRamp(), []string{"C9 is no patch of the chart"}},
		{"several extra", spots + "C9,1,\nX,1,\n", aRamp(), []string{"2 readings that are no patches of the chart: C9, X"}},
		{"another chart", "patch,print_density\n1,1\n2,1\n3,1\n", aRamp(), []string{"1, 2, 3", "A1, A2, B10 and so on"}},
		{"twice", spots + "A01,1,\n", aRamp(), []string{"line 8", "A01 is patch A1 again, first a1 in line 4"}},
		{"too few", "patch,print_density\nA1,1\nA2,0.9\nB10,0.8\n", aRamp(), []string{"3 of the 7 patches", "missing 2-A1, 2-A2, 2-B10, v64"}},
		{"ambiguous", strings.ReplaceAll(spots, "A02", "A001"), padded, []string{"A001 is no patch"}},
		{"ink of another chart", "patch,ink,print_density\nA1,0,1\nA2,25,0.9\n", aRamp(), []string{"line 3", "patch A2 has ink 25, 20 on the chart"}},
		{"code values of another chart", "patch,red,green,blue,print_density\nA1,0,0,0,1\n", aRamp(), []string{"printer code values [0 0 0], [255 255 255]"}},
		{"a tablet", "step,tablet_density,print_density\n1,0.05,1\n", aRamp(), []string{"holds a step tablet", "need no chart"}},
		{"a tablet's chart", spots, &Chart{Kind: Tablet, Pages: aRamp().Pages}, []string{"no patches to match"}},
		{"fixed values only", "patch,print_density\nv64,1\n", &Chart{Kind: Ramp, Pages: []Page{{Patches: aRamp().Pages[1].Patches[3:]}}}, []string{"no reading of an ink ramp"}},
	}
	for _, test := range tests {
		_, _, err := Match(instrument(t, test.in), test.c)
		var user *fault.Error
		if !errors.As(err, &user) || user.File != "spot.csv" || user.Hint == "" {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		for _, part := range test.want {
			if text := user.Error() + " " + user.Hint; !strings.Contains(text, part) {
				t.Errorf("%s: %q, want %q in it", test.name, text, part)
			}
		}
	}
}

// Every chart that is laid out here matches the readings of all its patches,
// whatever the case and padding of their names, and gets its own figures back.
func TestMatchWholeCharts(t *testing.T) {
	for name, make := range makers {
		c, err := make(sheetOf(210, 297))
		if err != nil {
			t.Fatal(name, err)
		}
		read := &measure.Table{Kind: measure.Patches, Unit: measure.InLightness, File: "spot.csv"}
		for _, page := range c.Pages {
			for i, p := range page.Patches {
				r := measure.Blank()
				r.ID, r.Unit, r.Value = strings.ToLower(p.ID), measure.InLightness, float64(i%90)
				read.Readings = append(read.Readings, r)
			}
		}
		slices.Reverse(read.Readings)
		out, report, err := Match(read, c)
		if c.Kind == Tablet {
			if err == nil {
				t.Error("a chart without patches was matched")
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		all := out.Readings
		if report.Fixed != nil {
			all = append(slices.Clone(all), report.Fixed.Readings...)
		}
		if len(report.Missing) > 0 || report.Matched != len(all) || c.Kind != Exposure && len(all) != len(read.Readings) {
			t.Errorf("%s: %d of %d readings came back, %+v", name, len(all), len(read.Readings), report)
		}
		if c.Kind == Exposure && (len(all) != len(steps()) || all[1].Exposure != steps()[1]) {
			t.Errorf("%s: %d readings, the second %+v", name, len(all), all[1])
		}
	}
}
