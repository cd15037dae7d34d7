package class

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"actinic/negative/typeface"
	"actinic/process/fault"
	"actinic/process/measure/delimited"
)

// Row is one line of a roster: a person's negative of one picture.
type Row struct {
	File   string // of the roster, as the user gave it
	Line   int
	Person string // one line of plain letters
	// Picture and Calibration are paths within the folders that the roster may
	// name files of. Process is a name. Of process and calibration one may be "".
	Picture, Process, Calibration string
	WidthMM, HeightMM             float64 // of the print; 0 follows from the picture
	Copies                        int

	faulty        bool // something is told of it already: no negative comes of it
	noCalibration bool // its calibration is told already
}

// fault is an error at the row's line.
func (r *Row) fault(column, what, hint string) error {
	where := fmt.Sprintf("line %d", r.Line)
	if column != "" {
		where += ", column " + column
	}
	return fault.New(r.File, where, what, hint)
}

// Columns of a roster.
const (
	columnName        = "name"
	columnPicture     = "picture"
	columnProcess     = "process"
	columnCalibration = "calibration"
	columnSize        = "size"
	columnCopies      = "copies"
)

// Columns returns the names of the columns that a roster may have.
func Columns() []string {
	return []string{columnName, columnPicture, columnProcess, columnCalibration, columnSize, columnCopies}
}

// Bounds of a class set (working values of ours): far beyond any class, and below
// what a PDF can hold.
const (
	mostCopies    = 200
	mostNegatives = 2000
)

// ParseSize reads the size of a print; a side that is 0 follows from the picture.
type ParseSize func(text string) (widthMM, heightMM float64, err error)

// Read takes a roster's rows. Problems are all that is wrong with single rows,
// each a *fault.Error with its line; Plan looks at what else such rows ask for.
// err is for a file that is no roster. Where a row has no size, usual is its size;
// "" for none.
func Read(text *delimited.Text, size ParseSize, usual string) (rows []Row, problems []error, err error) {
	t, problems, err := text.TableAndFaults()
	if err != nil {
		return nil, nil, err
	}
	if err := checkColumns(t, usual); err != nil {
		return nil, nil, err
	}
	if len(t.Rows) == 0 && len(problems) == 0 {
		return nil, nil, t.Fault(t.HeaderLine, "", "nobody below the header", "give each person and picture a row")
	}
	negatives := 0
	for _, cells := range t.Rows {
		r, wrong := readRow(t, cells, size, usual)
		problems, rows = append(problems, wrong...), append(rows, r)
		negatives += r.Copies
	}
	if negatives > mostNegatives {
		return nil, nil, fault.New(t.File, "", fmt.Sprintf("%d negatives, expected at most %d", negatives, mostNegatives), "make several rosters of it")
	}
	return rows, problems, nil
}

func checkColumns(t *delimited.Table, usualSize string) error {
	if err := t.CheckColumns(Columns()); err != nil {
		return err
	}
	for _, name := range []string{columnName, columnPicture, columnSize} {
		if t.Column(name) < 0 && (name != columnSize || usualSize == "") {
			return t.Fault(t.HeaderLine, "", "no column "+name, "a roster has the columns name, picture, process or calibration, size, and perhaps copies")
		}
	}
	return nil
}

// readRow reads one row and tells all that is wrong with it.
func readRow(t *delimited.Table, cells delimited.Row, size ParseSize, usual string) (Row, []error) {
	cell := func(column string) string {
		if i := t.Column(column); i >= 0 {
			return cells.Cells[i]
		}
		return ""
	}
	r := Row{File: t.File, Line: cells.Line, Person: typeface.Clean(cell(columnName)), Process: cell(columnProcess), Copies: 1}
	var wrong []error
	note := func(err error) {
		if err != nil {
			wrong = append(wrong, err)
		}
	}
	if r.Person == "" {
		note(r.fault(columnName, "no name", "give every row the name of its person"))
	}
	var err error
	r.Picture, err = r.path(columnPicture, cell(columnPicture))
	note(err)
	if text := cell(columnCalibration); text != "" {
		r.Calibration, err = r.path(columnCalibration, text)
		r.noCalibration = err != nil
		note(err)
	}
	note(r.setSize(cell(columnSize), size, usual))
	note(r.setCopies(cell(columnCopies)))
	r.faulty = len(wrong) > 0
	return r, wrong
}

// path takes a file's name in a folder, which it cannot leave.
func (r *Row) path(column, text string) (string, error) {
	if text == "" {
		return "", r.fault(column, "no "+column, "name the file in every row")
	}
	path := filepath.FromSlash(text)
	if !filepath.IsLocal(path) {
		return "", r.fault(column, fmt.Sprintf("%q leads out of the folder", text), "a roster names files of its own folder or of folders in it; --pictures names another folder for all pictures")
	}
	return filepath.Clean(path), nil
}

func (r *Row) setSize(text string, size ParseSize, usual string) error {
	if text == "" {
		text = usual
	}
	if text == "" {
		return r.fault(columnSize, "no size", "give the size of the print, as 203x254mm or 8x10in, or --size for all rows without one")
	}
	var err error
	if r.WidthMM, r.HeightMM, err = size(text); err != nil {
		return r.fault(columnSize, fmt.Sprintf("found %q, %v", text, err), "")
	}
	return nil
}

func (r *Row) setCopies(text string) error {
	if text == "" {
		return nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 1 || n > mostCopies {
		return r.fault(columnCopies, fmt.Sprintf("found %q, expected a whole number from 1 to %d", text, mostCopies), "leave it empty for one")
	}
	r.Copies = n
	return nil
}
