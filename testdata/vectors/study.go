package vectors

import (
	"strings"
	"testing"
)

// Study is one data set of the NIST Statistical Reference Datasets, nonlinear
// regression: National Institute of Standards and Technology, StRD,
// https://www.itl.nist.gov/div898/strd/ ; certified to 11 digits.
type Study struct {
	Starts        [2][]float64 // two sets of parameters to start from, the first far away
	Certified, SD []float64    // the parameters and their standard deviations
	RSS           float64      // certified residual sum of squares
	X, Y          []float64    // the observations
}

// ReadStudy returns the study in the table nist_NAME.csv, such as "rat43". It
// ends the test as [Read] does, or if a kind of line is missing.
func ReadStudy(tb testing.TB, name string) *Study {
	tb.Helper()
	t, s := Read(tb, "nist_"+name+".csv"), &Study{}
	for row := range t.Rows {
		s.add(t, row)
	}
	if len(s.X) == 0 || len(s.Certified) == 0 || s.RSS == 0 {
		tb.Fatalf("%s: %d points, %d parameters, residual sum of squares %g: found none of one kind", t.name, len(s.X), len(s.Certified), s.RSS)
	}
	return s
}

// add takes one row: a parameter, an observation, or the sum of squares. Rows of
// other kinds follow from these.
func (s *Study) add(t *Table, row int) {
	t.tb.Helper()
	switch kind := t.Cell(row, "kind"); {
	case kind == "rss":
		s.RSS = t.Float(row, "a")
	case kind == "data":
		s.Y, s.X = append(s.Y, t.Float(row, "a")), append(s.X, t.Float(row, "b"))
	case kind == "param" && t.Cell(row, "a") != "name":
		for k, column := range []string{"b", "c"} {
			s.Starts[k] = append(s.Starts[k], t.Float(row, column))
		}
		value, sd, _ := strings.Cut(t.Cell(row, "d"), ";")
		s.Certified = append(s.Certified, t.number(row, "d", value))
		s.SD = append(s.SD, t.number(row, "d", sd))
	}
}
