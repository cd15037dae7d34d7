package report

// Page is a report that a printmaker reads: one HTML file that needs nothing
// else. Lead, Next, Text, Caption and Warnings set what stands between two
// backquotes as something to type: `actinic check`.
type Page struct {
	Title string
	// Lead are the first sentences: what was found, in one or two lines.
	Lead []string
	// Next are the things to do next, as a numbered list; may be empty.
	Next     []string
	Sections []Section
	// Foot are lines at the end: files used with their hashes, version, date.
	Foot []string
}

// Section is a part of a Page under a heading. What is empty is left out; the
// order is text, figure, table, warnings.
type Section struct {
	Heading string
	Text    []string // paragraphs
	Figure  *Figure
	Caption string // of the figure: what it shows, in words, for who cannot see it
	Table   *Table
	// Warnings are set apart: outliers, cautions.
	Warnings []string
}

// Table is a table of a Section. Every row has as many cells as Head.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
	Numbers []bool // columns that hold numbers; nil: none
}
