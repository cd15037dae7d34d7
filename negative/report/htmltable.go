package report

import "fmt"

// tableView is a table as the template takes it.
type tableView struct {
	ID, Caption string
	Head        []cell
	Rows        [][]cell
}

// cell is one cell; the first of a row names it.
type cell struct {
	Text          string
	Number, First bool
}

func newTableView(id string, t Table) (*tableView, error) {
	if len(t.Head) == 0 || t.Caption == "" {
		return nil, fmt.Errorf("report: table %q needs a caption and a head", t.Caption)
	}
	if t.Numbers != nil && len(t.Numbers) != len(t.Head) {
		return nil, fmt.Errorf("report: table %q has %d columns and says of %d whether they hold numbers", t.Caption, len(t.Head), len(t.Numbers))
	}
	v := &tableView{ID: id, Caption: printable(t.Caption), Head: t.cells(t.Head)}
	for i, row := range t.Rows {
		if len(row) != len(t.Head) {
			return nil, fmt.Errorf("report: row %d of table %q has %d cells, %d expected", i+1, t.Caption, len(row), len(t.Head))
		}
		v.Rows = append(v.Rows, t.cells(row))
	}
	return v, nil
}

// cells dresses the texts of a row.
func (t Table) cells(texts []string) []cell {
	out := make([]cell, len(texts))
	for i, text := range texts {
		out[i] = cell{Text: printable(text), Number: t.Numbers != nil && t.Numbers[i], First: i == 0}
	}
	return out
}
