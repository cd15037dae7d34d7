package measure

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"actinic/process/fault"
	"actinic/process/measure/delimited"
	"actinic/process/sensitometry"
)

// field is one column to write.
type field struct {
	name   string // as CSV calls it
	number func(Reading) float64
	text   func(Reading) string // nil for a column of numbers
}

// fieldsOf returns the columns that t needs: those of its kind, and of the others
// the ones that some reading has.
func fieldsOf(t *Table) []field {
	var fs []field
	num := func(always bool, name string, get func(Reading) float64) {
		if always || anyNumber(t.Readings, get) {
			fs = append(fs, field{name: name, number: get})
		}
	}
	text := func(always bool, name string, get func(Reading) string) {
		if always || anyText(t.Readings, get) {
			fs = append(fs, field{name: name, text: get})
		}
	}
	id := colPatch
	if t.Kind == Tablet {
		id = colStep
	}
	text(true, id, func(r Reading) string { return r.ID })
	text(false, colStrip, func(r Reading) string { return r.Strip })
	num(false, colTablet, func(r Reading) float64 { return float64(r.Tablet) })
	num(t.Kind == Ramp, colInk, func(r Reading) float64 { return r.Ink })
	for i, name := range deviceColumns {
		num(false, name, func(r Reading) float64 { return deviceOrNaN(r, i) })
	}
	num(false, colSeconds, func(r Reading) float64 { return amountIn(r, sensitometry.Seconds) })
	num(false, colLampUnits, func(r Reading) float64 { return amountIn(r, sensitometry.LampUnits) })
	num(true, printColumn(t.Unit), func(r Reading) float64 { return r.Value })
	coloured := anyNumber(t.Readings, func(r Reading) float64 { return r.LabA }) || anyNumber(t.Readings, func(r Reading) float64 { return r.LabB })
	num(coloured, colLabA, func(r Reading) float64 { return r.LabA })
	num(coloured, colLabB, func(r Reading) float64 { return r.LabB })
	num(false, colSD, func(r Reading) float64 { return r.SD })
	num(false, colSpread, func(r Reading) float64 { return r.Spread })
	num(false, colCount, countOrNaN)
	placed := anyNumber(t.Readings, func(r Reading) float64 { return r.XMM }) || anyNumber(t.Readings, func(r Reading) float64 { return r.YMM })
	num(placed, colX, func(r Reading) float64 { return r.XMM })
	num(placed, colY, func(r Reading) float64 { return r.YMM })
	text(false, colFlag, func(r Reading) string { return r.Flag })
	return fs
}

func printColumn(u Unit) string {
	if u == InLightness {
		return colLstar
	}
	return colDensity
}

func deviceOrNaN(r Reading, i int) float64 {
	if !r.HasDevice {
		return math.NaN()
	}
	return r.Device[i]
}

// amountIn returns the exposure of a reading in a unit, NaN where it has another.
func amountIn(r Reading, unit string) float64 {
	if r.Exposure.Unit != unit {
		return math.NaN()
	}
	return r.Exposure.Amount
}

func countOrNaN(r Reading) float64 {
	if r.Count == 0 {
		return math.NaN()
	}
	return float64(r.Count)
}

func anyNumber(rs []Reading, get func(Reading) float64) bool {
	for _, r := range rs {
		if !math.IsNaN(get(r)) {
			return true
		}
	}
	return false
}

func anyText(rs []Reading, get func(Reading) string) bool {
	for _, r := range rs {
		if get(r) != "" {
			return true
		}
	}
	return false
}

// cell returns the text of a field, "" where a number is absent.
func (f field) cell(r Reading) (string, error) {
	if f.text != nil {
		return f.text(r), checkText(f.text(r), f.name)
	}
	v := f.number(r)
	if math.IsNaN(v) {
		return "", nil
	}
	if math.IsInf(v, 0) {
		return "", fault.New("", "column "+f.name, "an infinite value cannot be written", "")
	}
	return delimited.FormatNumber(v), nil
}

// checkText refuses text that would not be read back as it is.
func checkText(s, column string) error {
	if s == strings.TrimSpace(s) && utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return r < ' ' && r != '\t' }) {
		return nil
	}
	return fault.New("", "column "+column, fmt.Sprintf("%q cannot be written: it holds control characters or ends in spaces", s), "")
}

// WriteCSV writes t as CSV that Read reads back to the same readings; the
// uncertainty of tablet densities is left out. A tablet whose densities are not known is written without their column:
// whoever reads it names the tablet. It fails with *fault.Error on text that CSV cannot carry.
func WriteCSV(w io.Writer, t *Table) error {
	b := bufio.NewWriter(w)
	if err := writeComments(b, t); err != nil {
		return err
	}
	if t.Kind == Spectra {
		if err := writeSpectra(b, t); err != nil {
			return err
		}
		return b.Flush()
	}
	fs := fieldsOf(t)
	for i, f := range fs {
		writeCell(b, i, f.name, len(fs))
	}
	for _, r := range t.Readings {
		for i, f := range fs {
			s, err := f.cell(r)
			if err != nil {
				return fault.InFile(err, t.File)
			}
			if s != "" {
				s = delimited.Quote(s)
			}
			writeCell(b, i, s, len(fs))
		}
	}
	return b.Flush()
}

// writeComments writes the table's comments, a line each.
func writeComments(b *bufio.Writer, t *Table) error {
	for _, c := range t.Comments {
		if err := checkText(c, "comments"); err != nil {
			return fault.InFile(err, t.File)
		}
		b.WriteString("# " + c + "\n")
	}
	return nil
}

// writeCell writes the i-th of n cells of a row with what stands around it.
// bufio.Writer keeps the first error for Flush.
func writeCell(b *bufio.Writer, i int, s string, n int) {
	if i > 0 {
		b.WriteByte(',')
	}
	b.WriteString(s)
	if i == n-1 {
		b.WriteByte('\n')
	}
}

func writeSpectra(b *bufio.Writer, t *Table) error {
	n := len(t.Samples) + 1
	writeCell(b, 0, colWavelength, n)
	for i, s := range t.Samples {
		if err := checkText(s.Name, s.Name); err != nil {
			return fault.InFile(err, t.File)
		}
		writeCell(b, i+1, delimited.Quote(s.Name), n)
	}
	for row, nm := range t.WavelengthsNM {
		writeCell(b, 0, delimited.FormatNumber(nm), n)
		for i, s := range t.Samples {
			writeCell(b, i+1, delimited.FormatNumber(s.Values[row]), n)
		}
	}
	return nil
}
