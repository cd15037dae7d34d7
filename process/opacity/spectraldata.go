package opacity

import (
	"bufio"
	"bytes"
	"embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// The built-in spectra, each row or file with its source. A fault in them is a
// programmer's bug, found by the first test that reads them: it panics.
//
//go:embed data
var embedded embed.FS

// dataTable is one embedded file.
type dataTable struct {
	name    string
	sources []string // its comments
	header  []string
	rows    [][]string
}

// dataRow is one row of a dataTable.
type dataRow struct {
	table *dataTable
	cells []string
}

func readData(name string) *dataTable {
	text, err := embedded.ReadFile("data/" + name)
	if err != nil {
		panic("opacity: " + err.Error())
	}
	t := &dataTable{name: name}
	lines := bufio.NewScanner(bytes.NewReader(text))
	for lines.Scan() {
		if comment, found := strings.CutPrefix(lines.Text(), "# "); found {
			t.sources = append(t.sources, comment)
		}
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("opacity: data/%s: %v, %d rows", name, err, len(rows)))
	}
	t.header, t.rows = rows[0], rows[1:]
	return t
}

// where returns the rows whose column holds value, in the order of the file.
func (t *dataTable) where(column, value string) []dataRow {
	var out []dataRow
	for _, cells := range t.rows {
		if row := (dataRow{t, cells}); row.text(column) == value {
			out = append(out, row)
		}
	}
	return out
}

// distinct returns the values of a column, each once.
func (t *dataTable) distinct(column string) []string {
	var out []string
	for _, cells := range t.rows {
		out = appendNew(out, dataRow{t, cells}.text(column))
	}
	return out
}

// column returns the numbers of a column.
func (t *dataTable) column(name string) []float64 {
	out := make([]float64, len(t.rows))
	for i, cells := range t.rows {
		out[i] = dataRow{t, cells}.number(name)
	}
	return out
}

func (r dataRow) text(column string) string {
	i := slices.Index(r.table.header, column)
	if i < 0 {
		panic(fmt.Sprintf("opacity: data/%s has no column %s", r.table.name, column))
	}
	return r.cells[i]
}

func (r dataRow) number(column string) float64 {
	v, err := strconv.ParseFloat(r.text(column), 64)
	if err != nil {
		panic(fmt.Sprintf("opacity: data/%s: %v", r.table.name, err))
	}
	return v
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}
