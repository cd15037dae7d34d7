package delimited

import (
	"fmt"
	"strings"
)

// Table is a header and rows of equally many cells.
type Table struct {
	*Text
	Header     []string // column names as written, trimmed
	HeaderLine int
	Rows       []Row
}

// Row is one row of data; Cells are trimmed and as many as the header has.
type Row struct {
	Line  int
	Cells []string
}

// Table splits the text into a header and rows. Blank lines, rows of empty cells
// and lines that start with # are passed over.
//
// The error is a *fault.Error if there is no header, no row, a row with more or
// fewer cells than the header, an open quote, or more than MaxRows rows.
func (t *Text) Table() (*Table, error) {
	tab, wrong, err := t.TableAndFaults()
	switch {
	case len(wrong) > 0:
		return nil, wrong[0]
	case err != nil:
		return nil, err
	}
	return tab, tab.checkRows()
}

// TableAndFaults is Table for a caller who tells all that is wrong at once: rows
// of the wrong length or with an open quote are left out, and wrong has a
// *fault.Error for each. The table may be without rows. err is for a file that is
// no table.
func (t *Text) TableAndFaults() (tab *Table, wrong []error, err error) {
	tab = &Table{Text: t}
	sep := byte(0)
	for i, line := range t.Lines {
		if s := strings.TrimSpace(line); s == "" || s[0] == '#' {
			continue
		}
		if sep == 0 {
			sep = separatorOf(line)
		}
		begun := tab.Header != nil
		if err := tab.addLine(i+1, line, sep); err != nil {
			if !begun || len(tab.Rows) == MaxRows {
				return nil, wrong, err
			}
			wrong = append(wrong, err)
		}
		if len(wrong) == mostFaults {
			break
		}
	}
	if tab.Header == nil {
		return nil, wrong, t.Fault(0, "", "no header: only comments and blank lines", headerHint)
	}
	return tab, wrong, nil
}

// mostFaults is more than anybody reads: the rest of the table is not looked at.
const mostFaults = 1000

// addLine takes one line apart and adds its cells.
func (t *Table) addLine(line int, text string, sep byte) error {
	cells, wrong := splitCells(text, sep)
	if wrong != "" {
		return t.Fault(line, "", wrong, `close every quote in its own line; a quote inside a quoted cell is written twice`)
	}
	return t.add(line, cells, sep)
}

// add takes one line's cells, as the header if there is none yet.
func (t *Table) add(line int, cells []string, sep byte) error {
	used := len(cells)
	for used > 0 && cells[used-1] == "" {
		used--
	}
	switch {
	case used == 0:
		return nil
	case t.Header == nil:
		t.HeaderLine, t.Header = line, cells[:used]
		return t.checkHeader()
	case used > len(t.Header) || len(cells) < len(t.Header):
		return t.ragged(line, len(cells), sep)
	case len(t.Rows) == MaxRows:
		return t.Fault(line, "", fmt.Sprintf("more than %d rows", MaxRows), "")
	}
	t.Rows = append(t.Rows, Row{Line: line, Cells: cells[:len(t.Header)]})
	return nil
}

func (t *Table) ragged(line, n int, sep byte) error {
	hint := "give every row a cell for each column; leave it empty where there is no figure"
	if sep == ',' && n > len(t.Header) {
		hint = "numbers with a decimal comma need semicolons between the columns, or quotes round each number"
	}
	return t.Fault(line, "", fmt.Sprintf("%d cells, expected %d as in the header of line %d", n, len(t.Header), t.HeaderLine), hint)
}

const headerHint = "begin the file with a row of column names"

func (t *Table) checkHeader() error {
	if _, err := ParseNumber(t.Header[0]); err == nil {
		return t.noHeader(t.Header[0])
	}
	seen := map[string]bool{}
	for i, name := range t.Header {
		key := strings.ToLower(name)
		if name == "" {
			return t.Fault(t.HeaderLine, "", fmt.Sprintf("column %d has no name", i+1), headerHint)
		}
		if seen[key] {
			return t.Fault(t.HeaderLine, name, "two columns of this name", "rename or delete one of them")
		}
		seen[key] = true
	}
	return nil
}

func (t *Table) noHeader(found string) error {
	return t.Fault(t.HeaderLine, "", fmt.Sprintf("no header: found the number %s, expected a column name", found), headerHint)
}

func (t *Table) checkRows() error {
	if len(t.Rows) == 0 {
		return t.Fault(t.HeaderLine, "", "no readings below the header", "")
	}
	return nil
}

// Column returns the index of the column called name in any case, or -1.
func (t *Table) Column(name string) int {
	for i, h := range t.Header {
		if strings.EqualFold(h, name) {
			return i
		}
	}
	return -1
}

// Number returns the number in column col of row r. The error names the place,
// what was found, and want, which reads on from "expected": "a print density".
func (t *Table) Number(r Row, col int, want string) (float64, error) {
	v, err := ParseNumber(r.Cells[col])
	if err != nil {
		return 0, t.Fault(r.Line, t.Header[col], fmt.Sprintf("%v, expected %s", err, want), "")
	}
	return v, nil
}
