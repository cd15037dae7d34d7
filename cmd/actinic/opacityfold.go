package main

import (
	"fmt"
	"strings"
)

// terminalWidth is what a terminal shows on a line as a rule (common practice).
const terminalWidth = 80

// foldedList writes lines under a heading, none where there are none.
func foldedList(b *strings.Builder, heading string, lines []string) {
	if len(lines) > 0 {
		fmt.Fprintf(b, "\n%s:\n", heading)
	}
	for _, line := range lines {
		b.WriteString(folded("- "+line, 2, 4, terminalWidth))
	}
}

// labelled writes a label and, from a column on, the text beside it.
func labelled(b *strings.Builder, column int, label, text string) {
	head := fmt.Sprintf("  %-*s ", column-3, label)
	b.WriteString(head + folded(text, len(head), column, terminalWidth)[len(head):])
}

// folded returns text in lines of up to width characters, the first indented by
// first, all others by rest.
func folded(text string, first, rest, width int) string {
	var b strings.Builder
	line, start := strings.Repeat(" ", first), true
	for _, word := range strings.Fields(text) {
		switch {
		case start:
			line += word
		case len(line)+1+len(word) > width:
			fmt.Fprintln(&b, line)
			line = strings.Repeat(" ", rest) + word
		default:
			line += " " + word
		}
		start = false
	}
	fmt.Fprintln(&b, line)
	return b.String()
}
