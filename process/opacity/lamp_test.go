package opacity

import (
	"math"
	"strings"
	"testing"

	"actinic/testdata/vectors"
)

// Relative power of five measured LEDs on their long-wave side as quoted from
// photobiologyLEDs 0.5.3: our generic LED of the same peak and half-width is
// within a factor of 1.8 where they have 1 % of their peak or more.
func TestLEDTails(t *testing.T) {
	for name, want := range map[string]map[float64]float64{
		"led:367.7x10.8": {365: .764, 385: .106, 395: .025},
		"led:366x8.5":    {365: .927, 385: .034},
		"led:387.9x13.1": {385: .894, 395: .427, 405: .100},
		"led:385.3x11.7": {385: .997, 395: .286, 405: .048},
		"led:391x13.1":   {385: .620, 395: .707, 405: .154},
	} {
		lamp, err := FindLamp(name)
		if err != nil {
			t.Fatal(err)
		}
		for nm, v := range want {
			got, _ := lamp.At(nm)
			if math.Abs(math.Log(got/v)) > math.Log(1.5) {
				t.Errorf("%s at %g nm: %.3f, measured %.3f", name, nm, got, v)
			}
		}
	}
}

// Half-width is full width at half maximum.
func TestLEDHalfWidth(t *testing.T) {
	lamp, err := FindLamp("LED:380x20")
	if err != nil {
		t.Fatal(err)
	}
	for nm, want := range map[float64]float64{370: 0.5, 380: 1, 390: 0.5} {
		v, _ := lamp.At(nm)
		near(t, "LED", v, want, 1e-12)
	}
}

// The measured tube's figures as quoted from photobiologyLamps 0.5.3, +-5 % of
// its peak; its lines of mercury were not in them.
func TestTube350(t *testing.T) {
	lamp, err := FindLamp("tube:350")
	if err != nil {
		t.Fatal(err)
	}
	phosphor := lamp.Near[2] // without lines
	top, _ := phosphor.At(350)
	for nm, want := range map[float64]float64{350: .999, 365: .681, 385: .169, 395: .064, 405: .026} {
		v, _ := phosphor.At(nm)
		near(t, "tube", v/top, want, 0.02)
	}
}

// Daylight as in the published table, D50 to D65.
func TestDaylight(t *testing.T) {
	v := vectors.Read(t, "cie_illuminants.csv")
	for id, column := range map[string]string{"d50": "D50", "d55": "D55", "d65": "D65"} {
		lamp, err := FindLamp(id)
		if err != nil {
			t.Fatal(err)
		}
		for i, nm := range v.Floats("nm") {
			if got, _ := lamp.At(nm); nm <= 600 && got != v.Float(i, column) {
				t.Errorf("%s at %g nm: %g, want %g", id, nm, got, v.Float(i, column))
			}
		}
	}
}

func TestBuiltInsSayWhatTheyAre(t *testing.T) {
	check := func(id, about string, approximate bool, sources []string, s Spectrum) {
		if !approximate || !strings.HasPrefix(about, "approximate: ") || len(sources) == 0 || !s.Complete {
			t.Errorf("%s: %q, %v, %q", id, about, approximate, sources)
		}
		for i, v := range s.Values {
			if !(v >= 0 && v <= 1000) || (i > 0 && s.WavelengthsNM[i] <= s.WavelengthsNM[i-1]) {
				t.Errorf("%s: %g at %g nm", id, v, s.WavelengthsNM[i])
			}
		}
	}
	for _, l := range Lamps() {
		check(l.ID, l.About, l.Approximate, l.Sources, l.Spectrum)
		found, err := FindLamp(l.ID)
		if err != nil || found.ID != l.ID || found.Name != l.ID || len(found.Near) < 2 {
			t.Errorf("%s is found as %s with %d near, %v", l.ID, found.ID, len(found.Near), err)
		}
	}
	for _, s := range Sensitisers() {
		check(s.ID, s.About, s.Approximate, s.Sources, s.Spectrum)
		if !strings.Contains(SensitiserNames, s.ID) {
			t.Errorf("%s is not named", s.ID)
		}
	}
}

// 1 - 10^-A times quantum yield times photons: by hand at a wavelength of each
// source. Dichromate, 100 mg/L, at 350 nm: 1 - 10^-(2.5 x 1.074) = 0.99794, times
// 350/365; ferrioxalate at 405 nm: (1 - 10^-1.44) x 1.14 x 405/365.
func TestSensitiserAnswer(t *testing.T) {
	for _, c := range []struct {
		name     string
		nm, want float64
	}{{"dichromate", 350, 0.956928}, {"ferric", 405, 1.219005}, {"ferric", 600, 0}, {"flat", 310, 1}, {"silver", 420, 0}} {
		s, err := FindSensitiser(c.name)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := s.At(c.nm)
		near(t, c.name, got, c.want, 1e-5)
	}
}

func TestUnknownNames(t *testing.T) {
	for _, name := range []string{"", "led", "led:", "led:abc", "led:200", "led:365x", "led:365x0", "led:NaN", "led:365xInf", "tube:1", "sun", strings.Repeat("x", 500)} {
		_, err := FindLamp(name)
		wants(t, err, "", "led:365")
		if err != nil && len(err.Error()) > 300 {
			t.Errorf("%d bytes of message", len(err.Error()))
		}
	}
	_, err := FindSensitiser("cyano")
	wants(t, err, "", "ferric, citrate", "cyano")
}

// The spread takes in the prediction itself and every other light; measured
// lamps and sensitisers have none.
func TestSpread(t *testing.T) {
	lamp, _ := FindLamp("led:365")
	sensitiser, _ := FindSensitiser("citrate")
	yellow := table("yellow", 300, 700, dyeTransmittance(2))
	f, err := Route{lamp, sensitiser, Film{}}.Predict([]Spectrum{yellow, carbon(1)})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range f.Samples {
		if !(p.Low < p.UVDensity-0.005 && p.High > p.UVDensity+0.005 && p.LowWith != p.HighWith) {
			t.Errorf("%+v", p)
		}
		if p.Low < 0 || p.High > p.UVDensity+0.5 {
			t.Errorf("a spread of another order: %+v", p)
		}
	}
	if f.Others != 15 || len(f.LeftOut) != 0 || f.FilmBase != nil {
		t.Errorf("%d others, left out %q", f.Others, f.LeftOut)
	}
	for _, other := range lamp.Near {
		alone, err := Route{Lamp{Spectrum: other.Spectrum}, Sensitiser{Spectrum: sensitiser.Spectrum}, Film{}}.Predict([]Spectrum{yellow})
		if err != nil {
			t.Fatal(err)
		}
		p := alone.Samples[0]
		if p.Low != p.UVDensity || p.High != p.UVDensity || alone.Others != 0 {
			t.Errorf("measured light has a spread: %+v", p)
		}
		if p.UVDensity < f.Samples[0].Low || p.UVDensity > f.Samples[0].High {
			t.Errorf("%s gives %g, outside %g to %g", other.Name, p.UVDensity, f.Samples[0].Low, f.Samples[0].High)
		}
	}
}

// A sample's table that covers the light asked for but not that of a neighbour
// leaves the neighbour out, and says so.
func TestSpreadLeavesOut(t *testing.T) {
	lamp, _ := FindLamp("led:385x10")
	sensitiser, _ := FindSensitiser("silver")
	f, err := Route{lamp, sensitiser, Film{}}.Predict([]Spectrum{table("ink", 375, 700, func(float64) float64 { return 0.1 })})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.LeftOut) == 0 || f.Others == 0 {
		t.Errorf("%d others, left out %q", f.Others, f.LeftOut)
	}
}

// Whatever is asked for, there is an error or a lamp of sound numbers.
func FuzzFindLamp(f *testing.F) {
	for _, name := range []string{"led:365", "led:365x12", "LED:405.5x4", "tube:350", "d65", "led:1e9", "led:365x1e-9", "led:x", ""} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		lamp, err := FindLamp(name)
		if err != nil {
			return
		}
		if n := len(lamp.WavelengthsNM); n < 2 || n > 1000 || n != len(lamp.Values) {
			t.Fatalf("%q has %d points", name, n)
		}
		for _, v := range lamp.Values {
			if !(v >= 0) || math.IsInf(v, 1) {
				t.Fatalf("%q has the power %g", name, v)
			}
		}
	})
}
