package delimited

import "strings"

// separatorOf returns what lies between the cells of the header line: a tab if
// there is one outside quotes, else a semicolon, else a comma. Column names hold
// none of these unless quoted.
func separatorOf(header string) byte {
	var bare strings.Builder
	for i, part := range strings.Split(header, `"`) {
		if i%2 == 0 {
			bare.WriteString(part)
		}
	}
	for _, sep := range []byte{'\t', ';'} {
		if strings.IndexByte(bare.String(), sep) >= 0 {
			return sep
		}
	}
	return ','
}

// splitCells cuts a line into its cells, trimmed. The text is "" or says what is
// wrong with a quote.
func splitCells(line string, sep byte) (cells []string, wrong string) {
	for {
		cell, rest, more, wrong := nextCell(line, sep)
		if wrong != "" {
			return nil, wrong
		}
		cells = append(cells, strings.TrimSpace(cell))
		if !more {
			return cells, ""
		}
		line = rest
	}
}

// nextCell returns the first cell of line, the text after its separator, and
// whether there was a separator.
func nextCell(line string, sep byte) (cell, rest string, more bool, wrong string) {
	if body, ok := strings.CutPrefix(strings.TrimLeft(line, " "), `"`); ok {
		return quotedCell(body, sep)
	}
	cell, rest, more = strings.Cut(line, string(sep))
	return cell, rest, more, ""
}

// quotedCell reads the rest of a cell after its opening quote. A doubled quote
// stands for one (RFC 4180, 2.7).
func quotedCell(body string, sep byte) (cell, rest string, more bool, wrong string) {
	var b strings.Builder
	for {
		before, after, ok := strings.Cut(body, `"`)
		if !ok {
			return "", "", false, "a quote that is not closed in its line"
		}
		b.WriteString(before)
		if !strings.HasPrefix(after, `"`) {
			tail, rest, more := strings.Cut(after, string(sep))
			if strings.TrimSpace(tail) != "" {
				return "", "", false, "text after a closing quote"
			}
			return b.String(), rest, more, ""
		}
		b.WriteByte('"')
		body = after[1:]
	}
}

// Quote returns text as one cell that Table reads back unchanged: bare where that
// is safe, else between quotes. Text must be trimmed and hold no line break.
func Quote(text string) string {
	if text == "" || strings.ContainsAny(text, ",;\t\"#") {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}
