package measure

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"actinic/process/fault"
)

// isoNames gives the field that each of our columns is written as. Those that are
// not of the standard are declared by KEYWORD.
var isoNames = map[string]struct {
	field   string
	private bool
}{
	colPatch: {"SAMPLE_ID", false}, colStep: {"SAMPLE_ID", false},
	colDensity: {"D_VIS", false}, colLstar: {"LAB_L", false}, colLabA: {"LAB_A", false}, colLabB: {"LAB_B", false},
	colRed: {"RGB_R", false}, colGreen: {"RGB_G", false}, colBlue: {"RGB_B", false},
	colTablet: {"TABLET_DENSITY", true}, colStrip: {"STRIP", true}, colInk: {"INK", true},
	colSeconds: {"EXPOSURE_S", true}, colLampUnits: {"EXPOSURE_UNITS", true},
	colSD: {"SD", true}, colSpread: {"SPREAD", true}, colCount: {"COUNT", true},
	colX: {"X_MM", true}, colY: {"Y_MM", true}, colFlag: {"FLAG", true},
}

// WriteISO28178 writes t as ISO 28178 text (CGATS.17), created at the time given,
// that Read reads back to the same readings; the uncertainty of tablet densities is
// left out. It fails with *fault.Error on spectra and on text with quotes, which the
// format cannot carry.
func WriteISO28178(w io.Writer, t *Table, created time.Time) error {
	if t.Kind == Spectra {
		return fault.New(t.File, "", "spectra are not written as ISO 28178 text", "write them as CSV")
	}
	fs := fieldsOf(t)
	b := bufio.NewWriter(w)
	isoHeader(b, t, created)
	for _, f := range fs {
		if n := isoNames[f.name]; n.private {
			fmt.Fprintf(b, "KEYWORD \"%s\"\n", n.field)
		}
	}
	fmt.Fprintf(b, "NUMBER_OF_FIELDS %d\n%s\n", len(fs), beginFormat)
	for i, f := range fs {
		writeWord(b, i, isoNames[f.name].field, len(fs))
	}
	fmt.Fprintf(b, "%s\nNUMBER_OF_SETS %d\n%s\n", endFormat, len(t.Readings), beginData)
	for _, r := range t.Readings {
		for i, f := range fs {
			s, err := isoCell(f, r)
			if err != nil {
				return fault.InFile(err, t.File)
			}
			writeWord(b, i, s, len(fs))
		}
	}
	fmt.Fprintln(b, endData)
	return b.Flush()
}

func isoHeader(b *bufio.Writer, t *Table, created time.Time) {
	fmt.Fprintf(b, "CGATS.17\nORIGINATOR \"actinic\"\nFILE_DESCRIPTOR \"readings of %v\"\nCREATED \"%s\"\n",
		t.Kind, created.UTC().Format(time.RFC3339))
}

// isoCell quotes text, and writes an absent number as empty text.
func isoCell(f field, r Reading) (string, error) {
	s, err := f.cell(r)
	if err != nil {
		return "", err
	}
	if strings.Contains(s, `"`) {
		return "", fault.New("", "column "+f.name, fmt.Sprintf("%q holds a quote, which ISO 28178 text cannot carry", s), "write CSV, or rename it")
	}
	if f.text != nil || s == "" {
		s = `"` + s + `"`
	}
	return s, nil
}

func writeWord(b *bufio.Writer, i int, s string, n int) {
	if i > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(s)
	if i == n-1 {
		b.WriteByte('\n')
	}
}
