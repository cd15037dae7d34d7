package main

import (
	"fmt"
	"strings"
)

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
