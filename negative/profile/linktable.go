package profile

import (
	"bufio"
	"fmt"
	"io"
	"strings"
)

// tableRows is how many rows a table has: as many as a curve of 12 bits has values.
const tableRows = 4096

// WriteTable writes the link as text for programs that read no ICC profiles: lines
// that start with '#' and say what it is, a line that names the columns, then 4096
// rows, 'input output' or 'input red green blue', blank between, each 0..1 with six
// decimals. Inputs are even from black to white; between rows the film runs straight.
// notes are further lines for the top. The same arguments give the same bytes.
//
// It fails if the film's values leave 0..1, or if writing does.
func WriteTable(w io.Writer, l Link, notes ...string) error {
	b := bufio.NewWriter(w)
	for _, note := range append([]string{l.Description,
		"input: value of the grey picture, coded in " + l.From.String() + ": 0 black, 1 white",
		"output: value of the film as the printer takes it: 0 black, 1 white; nothing to invert, but to mirror as every film of this setup",
		"between the rows straight lines"}, notes...) {
		fmt.Fprintln(b, "#", strings.Join(strings.Fields(note), " "))
	}
	columns, names := 3, "input red green blue"
	if l.Grey {
		columns, names = 1, "input output"
	}
	fmt.Fprintln(b, names)
	for i := range tableRows {
		input := float64(i) / (tableRows - 1)
		rgb, err := l.at(input)
		if err != nil {
			return err
		}
		fmt.Fprintf(b, "%.6f", input)
		for _, v := range rgb[:columns] {
			fmt.Fprintf(b, " %.6f", v)
		}
		fmt.Fprintln(b)
	}
	return b.Flush()
}
