// Package vectors gives the tests the numbers of this folder: published ones,
// and ones computed with other people's libraries. testdata/README.md says where
// they come from. Only tests import it: what cannot be read ends the test, with
// file, line and column.
//
// Start with [Read]; [ReadStudy] reads the certified data sets of NIST.
package vectors

import (
	"bytes"
	"embed"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"testing"
)

//go:embed *.csv *.txt
var files embed.FS

// Table is one file of numbers. All rows are as long as the header.
type Table struct {
	Header []string   // the names of the columns
	Rows   [][]string // the cells as they stand in the file

	tb    testing.TB
	name  string
	lines []int // the line of each row
}

// Bytes returns a file of this folder as it is.
func Bytes(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := files.ReadFile(name)
	if err != nil {
		tb.Fatalf("testdata/vectors: %v", err)
	}
	return data
}

// Read returns the table name, such as "density_lstar.csv". Lines that start
// with # are comments. It ends the test if there is no such file, if a row is
// not as long as the header, or if there is no row.
func Read(tb testing.TB, name string) *Table {
	tb.Helper()
	t := &Table{tb: tb, name: name}
	r := csv.NewReader(bytes.NewReader(Bytes(tb, name)))
	r.Comment = '#'
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			tb.Fatalf("%s: %v", name, err)
		}
		line, _ := r.FieldPos(0)
		t.Rows, t.lines = append(t.Rows, row), append(t.lines, line)
	}
	if len(t.Rows) < 2 {
		tb.Fatalf("%s: found no row, expected a header and at least one", name)
	}
	t.Header, t.Rows, t.lines = t.Rows[0], t.Rows[1:], t.lines[1:]
	return t
}

// Cell returns the text of a cell; row counts from 0. It ends the test if there
// is no such column.
func (t *Table) Cell(row int, column string) string {
	t.tb.Helper()
	k := slices.Index(t.Header, column)
	if k < 0 {
		t.tb.Fatalf("%s: found the columns %q, expected %s", t.name, t.Header, column)
	}
	return t.Rows[row][k]
}

// Float returns the number in a cell, which may be infinite; row counts from 0.
// It ends the test if there is no such column or no number in the cell.
func (t *Table) Float(row int, column string) float64 {
	t.tb.Helper()
	return t.number(row, column, t.Cell(row, column))
}

// Floats returns all numbers of a column, from the top.
func (t *Table) Floats(column string) []float64 {
	t.tb.Helper()
	out := make([]float64, len(t.Rows))
	for row := range t.Rows {
		out[row] = t.Float(row, column)
	}
	return out
}

// number returns the number that a cell, or a part of it, states. NaN is none:
// it would pass for equal wherever a test asks for more than a tolerance.
func (t *Table) number(row int, column, text string) float64 {
	t.tb.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) {
		t.tb.Fatalf("%s: line %d, column %s: found %q, expected a number", t.name, t.lines[row], column, text)
	}
	return v
}
