package monotone

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// readVectors returns the columns of a file of reference values; the first
// line of each says where they come from.
func readVectors(t testing.TB, name string) map[string][]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/vectors/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	columns := map[string][]float64{}
	for _, row := range rows[1:] {
		for k, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			columns[rows[0][k]] = append(columns[rows[0][k]], v)
		}
	}
	return columns
}

// near fails unless got and want agree to tolerance, relative or absolute
// whichever is wider.
func near(t fataler, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: got %.13g, want %.13g", what, got, want)
	}
}
