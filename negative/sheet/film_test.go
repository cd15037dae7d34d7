package sheet

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"
)

// Sides in millimetres: A sizes from ISO 216:2007; inch sizes are inches times
// 25.4, exact since 1959.
func TestParseFilm(t *testing.T) {
	for _, c := range []struct {
		name string
		w, h float64
	}{
		{"A4", 210, 297}, {"a3", 297, 420}, {"A5", 148, 210}, {"A2", 420, 594},
		{"Letter", 215.9, 279.4}, {"legal", 215.9, 355.6}, {"tabloid", 279.4, 431.8},
		{"8x10in", 203.2, 254}, {"16 x 20 in", 406.4, 508}, {"200x250mm", 200, 250},
		{"20,5×25.4cm", 205, 254}, {`4x5"`, 101.6, 127},
		{"4x5", 101.6, 127}, {"5x7", 127, 177.8}, {"8x10", 203.2, 254}, {"11x14", 279.4, 355.6},
	} {
		f, err := ParseFilm(c.name)
		if err != nil || math.Abs(f.WidthMM-c.w) > 1e-9 || math.Abs(f.HeightMM-c.h) > 1e-9 {
			t.Errorf("ParseFilm(%q) = %v, %v; want %g x %g mm", c.name, f, err, c.w, c.h)
		}
	}
}

func TestParseFilmRefusals(t *testing.T) {
	for _, name := range []string{"", "A9", "16x20", "8x10 feet", "0x10in", "-8x10in", "1e9x1e9mm", "NaNxNaNmm", "8x10in extra", "6000x100mm"} {
		_, err := ParseFilm(name)
		var f *fault.Error
		if !errors.As(err, &f) {
			t.Errorf("ParseFilm(%q) = %v; want *fault.Error", name, err)
			continue
		}
		for _, known := range FilmNames() {
			if !strings.Contains(f.Hint, known) {
				t.Errorf("ParseFilm(%q): hint %q does not name %s", name, f.Hint, known)
			}
		}
	}
}

func TestFilmsAscend(t *testing.T) {
	for i, f := range films[1:] {
		if f.WidthMM*f.HeightMM < films[i].WidthMM*films[i].HeightMM {
			t.Errorf("%s is smaller than %s before it", f.Name, films[i].Name)
		}
	}
}

func TestFilmString(t *testing.T) {
	for name, want := range map[string]string{"a4": "A4, 210 x 297 mm", "8x10in": "203.2 x 254 mm", "20x30cm": "200 x 300 mm"} {
		f, err := ParseFilm(name)
		if err != nil || f.String() != want {
			t.Errorf("%q prints as %q, %v; want %q", name, f.String(), err, want)
		}
	}
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"203x254mm", "8x10in", "20,3×25.4 cm", `4x5"`, "x", "1x1", "5x5mm", "99999999999999999999x1mm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, h, err := ParseSize(s)
		if err != nil {
			return
		}
		if !sideFits(w) || !sideFits(h) {
			t.Errorf("ParseSize(%q) = %g, %g without an error", s, w, h)
		}
		if w2, h2, err := ParseSize(sizeText(w, h)); err != nil || math.Abs(w2-w) > 0.0501 || math.Abs(h2-h) > 0.0501 {
			t.Errorf("ParseSize(%q) = %g, %g; written and read again %g, %g, %v", s, w, h, w2, h2, err)
		}
	})
}

// Inches are 25.4 mm, exact since 1959.
func TestParseRoll(t *testing.T) {
	for text, want := range map[string]Film{
		"roll:610mm":      {Name: "roll", WidthMM: 610, HeightMM: mostSideMM, MarginMM: 3, Roll: true},
		"Roll:24in":       {Name: "roll", WidthMM: 609.6, HeightMM: mostSideMM, MarginMM: 3, Roll: true},
		"roll:610x1200mm": {Name: "roll", WidthMM: 610, HeightMM: 1200, MarginMM: 3, Roll: true},
	} {
		f, err := ParseFilmOrRoll(text)
		if err != nil || math.Abs(f.WidthMM-want.WidthMM) > 1e-9 || f.HeightMM != want.HeightMM || f.Roll != want.Roll || f.MarginMM != want.MarginMM {
			t.Errorf("ParseFilmOrRoll(%q) = %+v, %v", text, f, err)
		}
	}
	for _, bad := range []string{"roll", "roll:", "roll:610", "roll:-5mm", "roll:6000mm", "roll:610x9000mm", "roll:1e9mm", "roll:NaNmm"} {
		var f *fault.Error
		if _, err := ParseFilmOrRoll(bad); !errors.As(err, &f) {
			t.Errorf("ParseFilmOrRoll(%q): %v, want *fault.Error", bad, err)
		}
	}
	if f, err := ParseFilmOrRoll("A4"); err != nil || f.Roll {
		t.Errorf("A4: %+v, %v", f, err)
	}
}

func FuzzParseFilmOrRoll(f *testing.F) {
	for _, s := range []string{"roll:610mm", "roll:24in", "roll:610x1200mm", "A4", "roll:99999999999999999999mm", "roll:5x5\""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		film, err := ParseFilmOrRoll(s)
		if err == nil && (!sideFits(film.WidthMM) || !sideFits(film.HeightMM)) {
			t.Errorf("ParseFilmOrRoll(%q) = %+v", s, film)
		}
	})
}
