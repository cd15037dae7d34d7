package calibration

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/opacity"
	"actinic/process/printer"
)

// spectraTable reads a table of spectra from text.
func spectraTable(t testing.TB, text string, relative bool) *measure.Table {
	t.Helper()
	table, err := measure.Read(strings.NewReader(text), "s.csv", &measure.Options{RelativeSpectra: relative})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// narrowLight is light of 365 nm alone, measured: no other light comes into
// question, and UV densities are those of the tables there.
func narrowLight(t testing.TB) SpectralRequest {
	t.Helper()
	spectrum, err := OnlySpectrum(spectraTable(t, "wavelength_nm,power\n364,0\n365,7\n366,0\n", true), "a lamp")
	if err != nil {
		t.Fatal(err)
	}
	lamp, err1 := opacity.MeasuredLamp(spectrum)
	sensitiser, err2 := opacity.MeasuredSensitiser(opacity.Spectrum{Name: "all", WavelengthsNM: []float64{300, 400}, Values: []float64{1, 1}})
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	return SpectralRequest{Lamp: lamp, Sensitiser: sensitiser}
}

// By hand: transmittances of 0.8 (film), 0.08 and 0.008 (inks on it) at the one
// wavelength are a film base of 0.0969 and UV densities of 1 and 2; ink alone,
// measured against clear film, has -log10 of its own transmittance.
const handSpectra = "wavelength_nm,clear,A1,\"255,0,0\",nothing\n360,0.8,0.08,0.008,0\n370,0.8,0.08,0.008,0\n"

func TestPredictSpectraByHand(t *testing.T) {
	rq := narrowLight(t)
	table := spectraTable(t, handSpectra, false)
	alone, err := PredictSpectra(table, rq)
	if err != nil {
		t.Fatal(err)
	}
	rq.FilmSample = "Clear"
	net, err := PredictSpectra(table, rq)
	if err != nil {
		t.Fatal(err)
	}
	rq.FilmSample, rq.Film = "", spectraTable(t, "wavelength_nm,film\n300,0.5\n400,0.5\n", false)
	apart, err := PredictSpectra(table, rq)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		got  *Spectral
		base float64
		want []float64
	}{
		{alone, math.NaN(), []float64{0.09691, 1.09691, 2.09691, math.Inf(1)}},
		{net, 0.09691, []float64{1, 2, math.Inf(1)}},
		{apart, 0.30103, []float64{0.09691, 1.09691, 2.09691, math.Inf(1)}},
	} {
		if (c.got.FilmBase == nil) != math.IsNaN(c.base) || (c.got.FilmBase != nil && math.Abs(*c.got.FilmBase-c.base) > 1e-5) {
			t.Errorf("film base %v, want %g", c.got.FilmBase, c.base)
		}
		if len(c.got.Samples) != len(c.want) {
			t.Fatalf("%d samples, want %d", len(c.got.Samples), len(c.want))
		}
		for i, want := range c.want {
			p := c.got.Samples[i]
			if (p.UVDensity == nil) != math.IsInf(want, 1) || (p.UVDensity != nil && math.Abs(*p.UVDensity-want) > 1e-5) {
				t.Errorf("%s: %v, want %g", p.Sample, p.UVDensity, want)
			}
		}
	}
	if len(alone.Notices) != 1 || !strings.Contains(alone.Notices[0], "--film-sample") || len(net.Notices) != 0 {
		t.Errorf("notices %q and %q", alone.Notices, net.Notices)
	}
}

func measured(uv, sd float64, rgb printer.RGB, patches ...string) MeasuredColour {
	nan := math.NaN()
	return MeasuredColour{Patches: patches, RGB: rgb, UVDensity: uv, SD: sd, AtLeast: nan, AtMost: nan}
}

// By hand: prints that see 0.9 of what the spectra say, exactly, by patch name
// and by code values.
func TestCompareByHand(t *testing.T) {
	rq := narrowLight(t)
	rq.FilmSample = "clear"
	s, err := PredictSpectra(spectraTable(t, handSpectra, false), rq)
	if err != nil {
		t.Fatal(err)
	}
	beyond := measured(math.NaN(), math.NaN(), printer.RGB{1, 2, 3}, "nothing")
	beyond.AtLeast = 2.5
	err = s.Compare([]MeasuredColour{beyond, measured(1.8, 0.02, printer.RGB{255, 0, 0}, "C7"), measured(0.9, 0.01, printer.RGB{9, 9, 9}, "B2", "a1")}, "s.csv")
	if err != nil {
		t.Fatal(err)
	}
	c := s.Comparison
	if c.Compared != 2 || len(c.Unmatched) != 0 || c.Within != 0 {
		t.Errorf("%+v", c)
	}
	for what, v := range map[string][2]float64{"ratio": {c.Ratio.Value, 0.9}, "its doubt": {c.Ratio.SD, 0}, "after": {*c.RMSAfter, 0},
		"rms": {*c.RMS, math.Sqrt((0.01 + 0.04) / 2)}, "difference": {s.Samples[1].Difference.Value, -0.2}, "at least": {*s.Samples[2].AtLeast, 2.5}} {
		if math.Abs(v[0]-v[1]) > 1e-9 {
			t.Errorf("%s %g, want %g", what, v[0], v[1])
		}
	}
}

// The ratio and its doubt are those of least squares through zero: predictions
// 1, 2, prints 1.1, 1.8: ratio (1.1 + 3.6)/5 = 0.94, residuals 0.16 and -0.08,
// doubt sqrt(0.032/1/5) = 0.08.
func TestCompareRatio(t *testing.T) {
	rq := narrowLight(t)
	rq.FilmSample = "clear"
	s, err := PredictSpectra(spectraTable(t, handSpectra, false), rq)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Compare([]MeasuredColour{measured(1.1, 0.06, printer.RGB{}, "A1"), measured(1.8, 0.01, printer.RGB{255, 0, 0})}, "s.csv"); err != nil {
		t.Fatal(err)
	}
	c := s.Comparison
	if math.Abs(c.Ratio.Value-0.94) > 1e-9 || math.Abs(c.Ratio.SD-0.08) > 1e-9 || math.Abs(*c.RMSAfter-math.Sqrt(0.016)) > 1e-9 {
		t.Errorf("ratio %+v, left %g", *c.Ratio, *c.RMSAfter)
	}
	if c.Within != 1 || len(c.Unmatched) != 1 || c.Unmatched[0] != "nothing" {
		t.Errorf("%+v", c)
	}
}

func TestSpectralRefusals(t *testing.T) {
	rq := narrowLight(t)
	table := spectraTable(t, handSpectra, false)
	for name, fails := range map[string]func() error{
		"no sample \"paper\"": func() error { r := rq; r.FilmSample = "paper"; _, err := PredictSpectra(table, r); return err },
		"no sample but clear film": func() error {
			r := rq
			r.FilmSample = "x"
			_, err := PredictSpectra(spectraTable(t, "wavelength_nm,x\n360,1\n370,1\n", false), r)
			return err
		},
		"has 4 samples": func() error { _, err := OnlySpectrum(table, "a lamp"); return err },
		"expected spectra": func() error {
			ramp, err := measure.Read(strings.NewReader("patch,ink,print_lstar\na,0,20\nb,50,50\nc,100,90\n"), "s.csv", nil)
			if err != nil {
				t.Fatal(err)
			}
			_, err = PredictSpectra(ramp, rq)
			return err
		},
		"no sample is named as a patch": func() error {
			s, err := PredictSpectra(table, rq)
			if err != nil {
				t.Fatal(err)
			}
			return s.Compare([]MeasuredColour{measured(1, 0.1, printer.RGB{1, 1, 1}, "Z1")}, "s.csv")
		},
	} {
		var user *fault.Error
		if err := fails(); !errors.As(err, &user) || user.File != "s.csv" || user.Hint == "" || !strings.Contains(user.What, name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestCodeValues(t *testing.T) {
	for name, want := range map[string]bool{"255,0,10": true, "255 0 10": true, "255; 0; 10": true, " 255, 0 ,10 ": true,
		"255,0": false, "255,0,256": false, "255,0,-1": false, "a,b,c": false, "NaN,0,0": false, "": false, "1,2,3,4": false} {
		rgb, ok := codeValues(name)
		if ok != want || (ok && rgb != printer.RGB{255, 0, 10}) {
			t.Errorf("%q: %v, %v", name, rgb, ok)
		}
	}
}
