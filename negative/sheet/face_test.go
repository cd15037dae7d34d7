package sheet

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"actinic/negative/typeface"
)

func TestClean(t *testing.T) {
	f := newFace()
	for _, c := range []struct{ text, want, missing string }{
		{"Tide 3", "Tide 3", ""},
		{"fru\u0308h", "früh", ""}, // decomposed, as some file systems give names
		{"a\n\tb  c", "a b c", ""},
		{"Гавань λ ő", "Гавань λ ő", ""},
		{"中文 x", "中文 x", ""},
		{"x \U0001F600", "x \U0001F600", "\U0001F600"},
		{"a\u202Eb", "ab", ""},
		{"", "", ""},
	} {
		if got, missing := f.clean(c.text); got != c.want || string(missing) != c.missing {
			t.Errorf("clean(%q) = %q, %q; want %q, %q", c.text, got, missing, c.want, c.missing)
		}
	}
}

// Liberation Sans is made to the widths of the Helvetica class. In thousandths
// of the type size: space 278, zero 556, A 667, M 833 (Adobe core font metrics,
// Helvetica.afm).
func TestWidth(t *testing.T) {
	f := newFace()
	for text, thousandths := range map[string]float64{" ": 278, "0": 556, "A": 667, "M": 833, "MA0": 833 + 667 + 556} {
		want := thousandths / 1000 * 10 * 25.4 / 72
		if got := f.widthMM(text, 10); math.Abs(got-want) > 0.005*float64(len(text)) {
			t.Errorf("width of %q at 10 pt = %.4f mm, want %.4f", text, got, want)
		}
	}
}

func TestFitKeepsBothEnds(t *testing.T) {
	f := newFace()
	long := "harbour " + strings.Repeat("very ", 3000) + "long 07"
	got := f.fit(long, 7, 50)
	if w := f.widthMM(got, 7); w > 50 || w < 45 {
		t.Errorf("fit is %.1f mm wide, want nearly 50", w)
	}
	if !strings.HasPrefix(got, "harbour") || !strings.HasSuffix(got, "07") || !strings.Contains(got, "…") {
		t.Errorf("fit = %q; want both ends and an ellipsis", got)
	}
	if got := f.fit("M", 7, 0.5); got != "" {
		t.Errorf("fit of what has no room = %q", got)
	}
}

// A part that runs from right to left keeps its place between its neighbours.
func TestJoinKeepsParts(t *testing.T) {
	f := newFace()
	got := f.join([]string{"יעל 2", "203 x 254 mm", "", "tide"}, labelPt, 200)
	if want := typeface.Isolate("יעל 2") + " · 203 x 254 mm · tide"; len(got) != 1 || got[0] != want {
		t.Errorf("%q, want one line %q", got, want)
	}
	for _, line := range f.join([]string{strings.Repeat("W", 300), "b", strings.Repeat("c", 40)}, labelPt, 60) {
		if w := f.widthMM(line, labelPt); w > 60 {
			t.Errorf("%q is %.1f mm wide", line, w)
		}
	}
}

func FuzzClean(f *testing.F) {
	for _, s := range []string{"abc", "שלום 12 (a)", "e\u0301", "\xff\xfe", "\u202e abc", "مرحبا 3.5 x", "\U0001F600"} {
		f.Add(s)
	}
	face := newFace()
	f.Fuzz(func(t *testing.T, s string) {
		got, _ := face.clean(s)
		if !utf8.ValidString(got) {
			t.Fatalf("clean(%q) is not UTF-8", s)
		}
		for _, line := range face.join([]string{got, "x"}, 6, 30) {
			if w := face.widthMM(line, 6); w > 30 {
				t.Errorf("a line of %q is %g mm wide", s, w)
			}
		}
	})
}
