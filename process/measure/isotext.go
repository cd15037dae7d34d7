package measure

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"actinic/process/measure/delimited"
)

// The words that frame the data of ISO 28178 text (CGATS.17, its ASCII form).
const (
	beginFormat = "BEGIN_DATA_FORMAT"
	endFormat   = "END_DATA_FORMAT"
	beginData   = "BEGIN_DATA"
	endData     = "END_DATA"
)

// isISO28178 reports whether a line of the text is one that opens a format or
// data, or the first word is a file identifier of the family.
func isISO28178(t *delimited.Text) bool {
	first := true
	for _, line := range t.Lines {
		words := strings.Fields(line)
		if len(words) == 0 || words[0][0] == '#' {
			continue
		}
		if words[0] == beginFormat || words[0] == beginData {
			return true
		}
		if first && len(words) == 1 && (strings.HasPrefix(words[0], "CGATS.") || strings.HasPrefix(words[0], "IT8.") || words[0] == "ISO28178") {
			return true
		}
		first = false
	}
	return false
}

// word is one word of the text; quoted ones are never keywords.
type word struct {
	text   string
	line   int
	first  bool // of its line
	quoted bool
}

func (w word) is(keyword string) bool { return !w.quoted && w.text == keyword }

// wordsOf splits the text at white space; # begins a comment, quotes hold text
// with spaces together.
func wordsOf(t *delimited.Text) ([]word, error) {
	var ws []word
	for i, line := range t.Lines {
		first := true
		for {
			line = strings.TrimSpace(line)
			if line == "" || line[0] == '#' {
				break
			}
			w, rest, ok := nextWord(line)
			if !ok {
				return nil, t.Fault(i+1, "", "a quote that is not closed in its line, or text after a closing quote",
					"close every quote in its own line and leave a space after it")
			}
			w.line, w.first, first = i+1, first, false
			ws = append(ws, w)
			line = rest
		}
	}
	return ws, nil
}

func nextWord(line string) (w word, rest string, ok bool) {
	if body, quoted := strings.CutPrefix(line, `"`); quoted {
		text, rest, closed := strings.Cut(body, `"`)
		clean := rest == "" || strings.TrimLeftFunc(rest, unicode.IsSpace) != rest
		return word{text: strings.TrimSpace(text), quoted: true}, rest, closed && clean
	}
	end := strings.IndexFunc(line, unicode.IsSpace)
	if end < 0 {
		end = len(line)
	}
	return word{text: line[:end]}, line[end:], true
}

// isoTable finds the one table of the text: its format and its sets of data.
func isoTable(t *delimited.Text) (*delimited.Table, error) {
	ws, err := wordsOf(t)
	if err != nil {
		return nil, err
	}
	head, fields, ws, err := section(t, ws, beginFormat, endFormat)
	if err != nil {
		return nil, err
	}
	between, data, rest, err := section(t, ws, beginData, endData)
	if err != nil {
		return nil, err
	}
	for _, w := range rest {
		if w.is(beginData) || w.is(beginFormat) {
			return nil, t.Fault(w.line, "", "a second table, expected one", "put each table in a file of its own")
		}
	}
	tab := &delimited.Table{Text: t}
	if err := setFields(tab, fields); err != nil {
		return nil, err
	}
	if err := setRows(tab, data); err != nil {
		return nil, err
	}
	keywords := append(append(append([]word{}, head...), between...), rest...)
	if err := checkNumber(t, keywords, "NUMBER_OF_FIELDS", len(tab.Header)); err != nil {
		return nil, err
	}
	return tab, checkNumber(t, keywords, "NUMBER_OF_SETS", len(tab.Rows))
}

// section returns the words before begin, those between begin and end, and those
// after end.
func section(t *delimited.Text, ws []word, begin, end string) (before, in, after []word, err error) {
	from := -1
	for i, w := range ws {
		switch {
		case from < 0 && w.is(begin):
			from = i
		case from >= 0 && w.is(end):
			return ws[:from], ws[from+1 : i], ws[i+1:], nil
		}
	}
	if from < 0 {
		return nil, nil, nil, t.Fault(0, "", "no "+begin+", expected in ISO 28178 text", "")
	}
	return nil, nil, nil, t.Fault(ws[from].line, "", begin+" without "+end, "the file may be cut off: export it again")
}

func setFields(tab *delimited.Table, fields []word) error {
	if len(fields) == 0 {
		return tab.Fault(0, "", "no fields between "+beginFormat+" and "+endFormat, "")
	}
	tab.HeaderLine = fields[0].line
	seen := map[string]bool{}
	for _, w := range fields {
		key := strings.ToUpper(w.text)
		if seen[key] {
			return tab.Fault(w.line, w.text, "two fields of this name", "")
		}
		seen[key] = true
		tab.Header = append(tab.Header, w.text)
	}
	return nil
}

// setRows cuts the data into sets. A set may run over several lines, but begins
// with a line and ends with one: that finds a missing or extra value where it is.
func setRows(tab *delimited.Table, data []word) error {
	n := len(tab.Header)
	for len(data) > 0 {
		line := data[0].line
		if len(data) < n || (len(data) > n && !data[n].first) {
			return ragged(tab, data)
		}
		if len(tab.Rows) == delimited.MaxRows {
			return tab.Fault(line, "", fmt.Sprintf("more than %d sets", delimited.MaxRows), "")
		}
		row := delimited.Row{Line: line}
		for _, w := range data[:n] {
			row.Cells = append(row.Cells, w.text)
		}
		tab.Rows = append(tab.Rows, row)
		data = data[n:]
	}
	if len(tab.Rows) == 0 {
		return tab.Fault(tab.HeaderLine, "", "no readings between "+beginData+" and "+endData, "")
	}
	return nil
}

// ragged names the line where a set of the wrong length begins.
func ragged(tab *delimited.Table, data []word) error {
	count := 1
	for count < len(data) && !data[count].first {
		count++
	}
	return tab.Fault(data[0].line, "", fmt.Sprintf("%d values, expected %d, one for each field of line %d",
		count, len(tab.Header), tab.HeaderLine), `write "" where there is no figure`)
}

// checkNumber compares a count that the header states with the count found. The
// standard wants both stated; files in use leave them out, and that is let pass.
func checkNumber(t *delimited.Text, ws []word, keyword string, found int) error {
	for i, w := range ws {
		if !w.first || !w.is(keyword) {
			continue
		}
		stated := ""
		if i+1 < len(ws) && !ws[i+1].first {
			stated = ws[i+1].text
		}
		if n, err := strconv.Atoi(stated); err != nil || n != found {
			return t.Fault(w.line, "", fmt.Sprintf("%s says %q, found %d", keyword, stated, found),
				"the file may be cut off: export it again, or correct the number")
		}
	}
	return nil
}
