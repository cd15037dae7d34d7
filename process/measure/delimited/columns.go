package delimited

import (
	"fmt"
	"strings"
)

// CheckColumns returns an error at the first column of the header that is not
// among known (lower case), with the nearest known name as a hint.
func (t *Table) CheckColumns(known []string) error {
	for _, name := range t.Header {
		if err := t.checkColumn(name, known); err != nil {
			return err
		}
	}
	return nil
}

func (t *Table) checkColumn(name string, known []string) error {
	low := strings.ToLower(name)
	for _, k := range known {
		if k == low {
			return nil
		}
	}
	if _, err := ParseNumber(name); err == nil {
		return t.noHeader(name)
	}
	hint := "separate the columns by commas, semicolons or tabs"
	if len(t.Header) > 1 || !strings.ContainsAny(name, " |") {
		hint = "rename or delete it"
		if near := nearest(low, known); near != "" {
			hint = fmt.Sprintf("did you mean %s?", near)
		}
	}
	return t.Fault(t.HeaderLine, name, "unknown column, expected some of "+strings.Join(known, ", "), hint)
}

// nearest returns the candidate with the fewest edits to name, or "" if even that
// one differs in more than half of its letters.
func nearest(name string, candidates []string) string {
	best, least := "", 0
	for _, c := range candidates {
		d := edits(name, c)
		if d <= len(c)/2 && (best == "" || d < least) {
			best, least = c, d
		}
	}
	return best
}

// edits returns the Levenshtein distance of a and b in bytes (Levenshtein 1966,
// by the two-row recurrence of Wagner & Fischer, J. ACM 21(1) 168, 1974). Names
// much longer than any column's are not worth the work.
func edits(a, b string) int {
	if len(a) > 64 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			diagonal, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, diagonal+cost)
		}
	}
	return row[len(b)]
}
