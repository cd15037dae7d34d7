package sheet

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestClean(t *testing.T) {
	f := newFace()
	for _, c := range []struct {
		text, want string
		missing    int
	}{
		{"Tide 3", "Tide 3", 0},
		{"fru\u0308h", "früh", 0}, // decomposed, as some file systems give names
		{"a\n\tb  c", "a b c", 0},
		{"Гавань λ ő", "Гавань λ ő", 0},
		{"中文 x", "□□ x", 2},
		{"\U0001F600", "□", 1},
		{"שלום", "םולש", 0}, // written from right to left, drawn from left to right
		{"a שלום", "a םולש", 0},
		{"", "", 0},
	} {
		if got, n := f.clean(c.text); got != c.want || n != c.missing {
			t.Errorf("clean(%q) = %q, %d; want %q, %d", c.text, got, n, c.want, c.missing)
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
	if !strings.HasPrefix(got, "harbour") || !strings.HasSuffix(got, "07") || !strings.Contains(got, ellipsis) {
		t.Errorf("fit = %q; want both ends and an ellipsis", got)
	}
	if got := f.fit("M", 7, 0.5); got != "" {
		t.Errorf("fit of what has no room = %q", got)
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
		for _, r := range got {
			if r != ' ' && !face.has(r) {
				t.Errorf("clean(%q) holds %q, which the typeface lacks", s, r)
			}
		}
		if w := face.widthMM(face.fit(got, 6, 30), 6); w > 30 {
			t.Errorf("fit(%q) is %g mm wide", s, w)
		}
	})
}
