package opacity

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"
)

func flatTable(file string, low, high float64) Spectrum {
	s := table("s", low, high, func(float64) float64 { return 0.5 })
	s.File = file
	return s
}

// wants fails the test unless err is a user's error that names the file and has
// every part in its text or hint.
func wants(t *testing.T, err error, file string, parts ...string) {
	t.Helper()
	var user *fault.Error
	if !errors.As(err, &user) {
		t.Errorf("error %v, want a *fault.Error", err)
		return
	}
	if user.File != file || user.Hint == "" {
		t.Errorf("file %q, hint %q, want file %q and a hint", user.File, user.Hint, file)
	}
	for _, part := range parts {
		if !strings.Contains(user.Error()+user.Hint, part) {
			t.Errorf("%q does not say %q", user.Error(), part)
		}
	}
}

func TestNoCommonLight(t *testing.T) {
	for _, c := range []struct{ lamp, sensitiser Spectrum }{
		{flatTable("lamp.csv", 500, 600), flatTable("s.csv", 300, 450)},
		{flatTable("lamp.csv", 300, 340), flatTable("s.csv", 350, 450)},
		{clone(flatTable("lamp.csv", 300, 400), 0), flatTable("s.csv", 300, 450)},
	} {
		_, err := NewLight(Lamp{Spectrum: c.lamp}, Sensitiser{Spectrum: c.sensitiser})
		wants(t, err, "lamp.csv", "no light that acts", "nanometres")
	}
}

// A lamp's table that ends amid the light is refused; one that has all but
// ended is taken.
func TestLampCutOff(t *testing.T) {
	falling := func(to float64) Spectrum {
		s := table("lamp", 300, to, func(nm float64) float64 { return bell((nm - 365) / 30) })
		s.File = "lamp.csv"
		return s
	}
	_, err := NewLight(Lamp{Spectrum: falling(380)}, flat(t))
	wants(t, err, "lamp.csv", "ends at 380 nm", "50 %")
	if _, err := NewLight(Lamp{Spectrum: falling(400)}, flat(t)); err != nil {
		t.Errorf("a lamp measured to 2 %% of its peak: %v", err)
	}
	s := flatTable("s.csv", 360, 450)
	_, err = NewLight(Lamp{Spectrum: complete(falling(440))}, Sensitiser{Spectrum: s})
	wants(t, err, "s.csv", "ends at 360 nm")
}

// A table of inks that leaves out light is refused with the share, one that
// leaves out little is taken, and what that leaves open is in the bounds.
func TestUncoveredLight(t *testing.T) {
	lamp, err := FindLamp("led:365")
	if err != nil {
		t.Fatal(err)
	}
	l := light(t, lamp.Spectrum, flat(t).Spectrum)
	_, err = l.UVDensity(Film{}, flatTable("inks.csv", 380, 730))
	wants(t, err, "inks.csv", "380 to 730 nm", "led:365", "instrument that reaches")
	base := flatTable("film.csv", 380, 730)
	_, err = l.UVDensity(Film{Base: &base}, flatTable("inks.csv", 300, 730))
	wants(t, err, "film.csv", "380 to 730 nm")

	thin := table("ink", 350, 450, func(float64) float64 { return 1e-3 })
	d, err := l.UVDensity(Film{}, thin)
	if err != nil {
		t.Fatal(err)
	}
	if !(d.Uncovered > 1e-5 && d.Uncovered < MostUncovered) {
		t.Fatalf("uncovered share %g", d.Uncovered)
	}
	near(t, "density", float64(d.UVDensity), 3, 1e-12)
	near(t, "at least", float64(d.AtLeast), -math.Log10(1e-3*(1-d.Uncovered)+d.Uncovered), 1e-12)
	near(t, "at most", float64(d.AtMost), 3-math.Log10(1-d.Uncovered), 1e-12)
}

func TestOpaqueFilmAndInk(t *testing.T) {
	l := light(t, complete(flatTable("", 300, 450)), flat(t).Spectrum)
	base := clone(flatTable("film.csv", 300, 450), 0)
	_, err := l.UVDensity(Film{Base: &base, InSamples: true}, flatTable("film.csv", 300, 450))
	wants(t, err, "film.csv", "clear film passes no light")
	d, err := l.UVDensity(Film{}, base)
	if err != nil || !math.IsInf(float64(d.UVDensity), 1) {
		t.Errorf("ink that passes nothing: %v, %v", d, err)
	}
}

func TestSpectrumOfNothing(t *testing.T) {
	none := clone(flatTable("x.csv", 300, 450), 0)
	if _, err := MeasuredLamp(none); err == nil || !strings.Contains(err.Error(), "no value above 0") {
		t.Errorf("a lamp of nothing: %v", err)
	}
	if _, err := MeasuredSensitiser(none); err == nil || !strings.Contains(err.Error(), "no value above 0") {
		t.Errorf("a sensitiser of nothing: %v", err)
	}
}
