// Package delimited reads small tables of text that people type or export from
// a spreadsheet: a header row, then rows of cells between commas, semicolons or
// tabs. It keeps the number of the physical line of every row, so that whoever
// checks the cells can say where a mistake is.
//
// It takes what spreadsheets really write: UTF-8 with or without a byte order
// mark, UTF-16 with one, line ends of any system, `#` comments, quoted cells,
// decimal commas. It refuses binary files, text in other encodings, rows of the
// wrong length, and anything larger than the limits below.
//
// Start at Load, which gives lines, and Text.Table, which gives rows.
package delimited

// Limits of what is read. They are far above any set of readings taken by hand
// or by a scanner, and keep a wrong file from filling the memory.
const (
	MaxBytes = 64 << 20  // size of a file
	MaxLine  = 64 << 10  // bytes in one line
	MaxLines = 1_000_000 // lines in a file, comments and blank ones included
	MaxRows  = 100_000   // rows of data
)
