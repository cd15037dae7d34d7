package main

import (
	"bytes"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"actinic/testdata/vectors"
)

// TestVectorsNameTheirSource holds every table of testdata/vectors to what
// testdata/README.md promises: it can be read, and its first line says where
// its numbers come from.
func TestVectorsNameTheirSource(t *testing.T) {
	names, err := filepath.Glob("../../testdata/vectors/*.csv")
	if err != nil || len(names) < 2 {
		t.Fatalf("found %d tables, %v; want at least two", len(names), err)
	}
	for _, name := range names {
		name = filepath.Base(name)
		first, _, _ := bytes.Cut(vectors.Bytes(t, name), []byte("\n"))
		if !bytes.HasPrefix(first, []byte("# ")) {
			t.Errorf("%s starts with %q, want a comment", name, first)
		}
		vectors.Read(t, name)
	}
}

// TestVectorsAsTheyStand reads cells that were copied here by eye.
func TestVectorsAsTheyStand(t *testing.T) {
	v := vectors.Read(t, "srgb8_decode.csv")
	if got := v.Cell(2, "linear"); got != "0.0006070539671" || v.Float(2, "linear") != 0.0006070539671 {
		t.Errorf("linear value of code 2: %s, %g", got, v.Float(2, "linear"))
	}
	if d := v.Floats("D"); len(d) != len(v.Rows) || !math.IsInf(d[0], 1) || d[1] != 3.517802694 {
		t.Errorf("densities %g", d)
	}
	s := vectors.ReadStudy(t, "rat42")
	if len(s.X) != 9 || len(s.Certified) != 3 || s.X[0] != 9 || s.Y[0] != 8.93 || s.RSS != 8.0565229338 ||
		s.Starts[0][0] != 100 || s.Starts[1][2] != 0.07 || s.Certified[2] != 6.7359200066e-2 || s.SD[2] != 3.4465663377e-3 {
		t.Errorf("Rat42: %+v", s)
	}
}

// TestUnreadableVectorsEndTheTest, and say where.
func TestUnreadableVectorsEndTheTest(t *testing.T) {
	v := func(tb testing.TB) *vectors.Table { return vectors.Read(tb, "rgb_matrices.csv") }
	for want, use := range map[string]func(testing.TB){
		"none.csv":      func(tb testing.TB) { vectors.Read(tb, "none.csv") },
		"expected c9":   func(tb testing.TB) { v(tb).Cell(0, "c9") },
		"expected c8":   func(tb testing.TB) { v(tb).Floats("c8") },
		"nist_none.csv": func(tb testing.TB) { vectors.ReadStudy(tb, "none") },
		"found \"bradford_D65_to_D50_ASTM\", expected a number": func(tb testing.TB) { v(tb).Float(1, "matrix") },
		"rgb_matrices.csv: line 4, column matrix":               func(tb testing.TB) { v(tb).Float(1, "matrix") },
	} {
		if e := endOf(use); !strings.Contains(e.failed, want) {
			t.Errorf("the test ended with %q, want %q", e.failed, want)
		}
	}
}
