package delimited

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"actinic/process/fault"
)

func TestParseNumber(t *testing.T) {
	for in, want := range map[string]float64{"1": 1, "0,5": 0.5, ".5": 0.5, "5.": 5, "-1.5e-3": -0.0015, "+2": 2, "1E2": 100} {
		if got, err := ParseNumber(in); err != nil || got != want {
			t.Errorf("%q: %g, %v, want %g", in, got, err, want)
		}
	}
	for _, in := range []string{"", "-", "e", "1e", "1_000", "0x1p2", "1 000", "1,000,000", "1.000,5", "NaN", "-Infinity", "1e999", "½", "50%"} {
		if got, err := ParseNumber(in); err == nil {
			t.Errorf("%q was read as %g", in, got)
		}
	}
}

func TestNumbersSurvive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Filter(func(v float64) bool { return !math.IsInf(v, 0) && !math.IsNaN(v) }).Draw(t, "v")
		got, err := ParseNumber(FormatNumber(v))
		if err != nil || got != v {
			t.Fatalf("%g became %q became %g, %v", v, FormatNumber(v), got, err)
		}
	})
}

func TestQuotedCellsSurvive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.TrimSpace(rapid.StringOf(rapid.RuneFrom([]rune(`ab ,;"#é`))).Draw(t, "text"))
		sep := rapid.SampledFrom([]byte(",;\t")).Draw(t, "separator")
		cells, wrong := splitCells(Quote(text)+string(sep)+" "+Quote(text)+" ", sep)
		if wrong != "" || !cmp.Equal(cells, []string{text, text}) {
			t.Fatalf("%q became %q, %s", text, cells, wrong)
		}
	})
}

// "kitten" to "sitting" is the textbook pair: three edits.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "ink", 3}, {"ink", "ink", 0}, {"inc", "ink", 1}} {
		if got := edits(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	if got := nearest("wavelength", []string{"ink", "wavelength_nm"}); got != "wavelength_nm" {
		t.Errorf("got %q", got)
	}
	if got := nearest("zzzz", []string{"ink", "wavelength_nm"}); got != "" {
		t.Errorf("got %q for a name that is near to nothing", got)
	}
}

func FuzzTable(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "a;\"b;c\"\n1;2\n", "# c\r\na\tb\r1\t\"2\"\"\"\n", "\xff\xfea\x00", "a,b\n1\n", "a,\"b\n", "PK\x03\x04"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var tab *Table
		text, err := Load(bytes.NewReader(data), "f.csv")
		if err == nil {
			tab, err = text.Table()
		}
		if err != nil {
			var e *fault.Error
			if !errors.As(err, &e) || e.File != "f.csv" || e.What == "" {
				t.Fatalf("got %#v", err)
			}
			return
		}
		last := tab.HeaderLine
		for _, r := range tab.Rows {
			if len(r.Cells) != len(tab.Header) || r.Line <= last || r.Line > len(text.Lines) {
				t.Fatalf("row %+v after line %d, header %q", r, last, tab.Header)
			}
			last = r.Line
		}
	})
}
