package measure

import (
	"errors"
	"io"
	"strings"
	"testing"

	"actinic/process/fault"
	"actinic/process/measure/delimited"
)

func wantFault(t *testing.T, in string, err error) *fault.Error {
	t.Helper()
	var e *fault.Error
	if !errors.As(err, &e) {
		t.Fatalf("%.80q: got %v, want a *fault.Error", in, err)
	}
	if e.File == "" || e.What == "" {
		t.Errorf("%.80q: no file or no text: %#v", in, e)
	}
	return e
}

const (
	ramp   = "patch,ink,print_lstar\n"
	strip  = "step,tablet_density,print_density\n"
	rgb    = "patch,red,green,blue,print_density\n"
	single = "patch,ink,print_density,sd,spread,count,x_mm,y_mm\n"
)

// Each mistake gets its own place, text and hint.
var refused = []struct{ name, in, where, what, hint string }{
	{"empty", "", "", "empty file", ""},
	{"blank", "\n \r\n\t", "", "empty file", ""},
	{"binary", "patch,ink\nA\x00B,1\n", "line 2", "binary data", "CSV"},
	{"workbook", "PK\x03\x04....", "", "workbook", "export"},
	{"encoding", "# gr\xfcn\n" + ramp, "line 1", "not UTF-8", "UTF-8"},
	{"comments only", "# a\n# b\n", "", "no header", "column names"},
	{"no header", "1,0.05,1.4\n2,0.2,1.3\n", "line 1", "no header", "column names"},
	{"no header with names", "A1,0,1.4\nB1,10,1.3\n", "line 1, column A1", "unknown column", "rename"},
	{"no readings", "# c\n" + ramp, "line 2", "no readings", ""},
	{"unnamed column", "patch,,print_lstar\nA,1,2\n", "line 1", "column 2 has no name", ""},
	{"column twice", "patch,ink,Ink,print_lstar\nA,1,1,2\n", "line 1, column Ink", "two columns", ""},
	{"unknown column", "patch,ink,prnt_lstar\nA,1,2\n", "line 1, column prnt_lstar", "unknown column, expected some of patch, ink", "did you mean print_lstar?"},
	{"unknown kind", "patch,inc,print_lstar\nA,1,2\n", "line 1, column inc", "unknown column", "did you mean ink?"},
	{"one column", "patch ink print_lstar\nA 1 2\n", "line 1, column patch ink print_lstar", "unknown column", "separate"},
	{"nothing measured", "patch,print_lstar\nA,1\n", "line 1", "no column that tells", "ink (a ramp)"},
	{"missing patch", "ink,print_lstar\n1,2\n", "line 1", "no column patch, expected in readings of an ink ramp", ""},
	{"missing step", "tablet_density,print_lstar\n1,2\n", "line 1", "no column step", ""},
	{"missing green", "patch,ink,red,blue,print_lstar\nA,1,2,3,4\n", "line 1", "no column green", ""},
	{"missing y", "patch,ink,x_mm,print_lstar\nA,1,2,3\n", "line 1", "no column y_mm", ""},
	{"no print", "patch,ink\nA,1\n", "line 1", "no column print_density or print_lstar", ""},
	{"two prints", "patch,ink,print_lstar,print_density\nA,1,2,3\n", "line 1", "both print_density and print_lstar", "delete"},
	{"ragged", ramp + "A,0,20\nB,1\n", "line 3", "2 cells, expected 3", "leave it empty"},
	{"decimal comma", ramp + "A,0,20,5\n", "line 2", "4 cells, expected 3", "semicolons"},
	{"open quote", ramp + "\"A,0,20\n", "line 2", "quote that is not closed", ""},
	{"text after quote", ramp + "\"A\"b,0,20\n", "line 2", "text after a closing quote", ""},
	{"NaN", ramp + "A,0,NaN\n", "line 2, column print_lstar", "found NaN", ""},
	{"infinite", ramp + "A,-inf,20\n", "line 2, column ink", "found -inf", ""},
	{"too large", ramp + "A,0,1e999\n", "line 2, column print_lstar", "too large", ""},
	{"text in a number", ramp + "A,0,20x\n", "line 2, column print_lstar", `found "20x", expected L*, 0 to 100`, ""},
	{"hexadecimal", ramp + "A,0,0x10\n", "line 2, column print_lstar", `found "0x10"`, ""},
	{"thousands", ramp + "A,0,\"1.000,5\"\n", "line 2, column print_lstar", "more than one decimal sign", ""},
	{"empty number", ramp + "A,,20\n", "line 2, column ink", "empty, expected film ink", ""},
	{"empty patch", ramp + ",0,20\n", "line 2, column patch", "empty", ""},
	{"negative density", strip + "1,0.05,-0.01\n", "line 2, column print_density", "found -0.01, expected a print density, 0 to 6", "zero the instrument on its own white"},
	{"L* as density", strip + "1,0.05,23.4\n", "line 2, column print_density", "found 23.4", "print_lstar"},
	{"density as L*", ramp + "A,0,1.4\nB,50,0.9\nC,100,0.1\n", "line 1, column print_lstar", "no value above 4", "print_density"},
	{"L* above 100", ramp + "A,0,100.5\n", "line 2, column print_lstar", "0 to 100", ""},
	{"L* below 0", ramp + "A,0,-1\n", "line 2, column print_lstar", "0 to 100", ""},
	{"tablet negative", strip + "1,-0.05,1\n", "line 2, column tablet_density", "0 to 6", ""},
	{"tablet too dense", strip + "1,21,1\n", "line 2, column tablet_density", "0 to 6", "not step numbers"},
	{"ink above 100", ramp + "A,101,20\n", "line 2, column ink", "per cent", ""},
	{"ink as fraction", ramp + "A,0,20\nB,0.5,40\nC,1,60\n", "line 1, column ink", "no value above 1", "per cent, not 0 to 1"},
	{"16-bit code values", rgb + "A,0,0,65535,1\n", "line 2, column blue", "0 to 255", "257"},
	{"code values as fractions", rgb + "A,0,0,1,1\nB,0,0,0.5,1\nC,0,0,0.25,1\n", "line 1, column red", "no value above 1", "not from 0 to 1"},
	{"two exposures", "patch,exposure_s,exposure_units,print_density\n1,60,5,1\n", "line 1", "in seconds and in lamp units", "keep the one"},
	{"exposure below 0", "patch,exposure_s,print_density\n1,-60,1\n", "line 2, column exposure_s", "0 (unexposed paper) or more", ""},
	{"exposure in words", "patch,exposure_s,print_density\n1,8m,1\n", "line 2, column exposure_s", `found "8m"`, ""},
	{"exposure without print", "patch,exposure_s,print_density\n1,60,\n", "line 2, column print_density", "empty", ""},
	{"exposure of a ramp", "patch,ink,exposure_s,print_density\n1,5,60,1\n", "line 1, column exposure_s", "unknown column", ""},
	{"exposure without patch", "exposure_s,print_density\n60,1\n", "line 1", "no column patch, expected in readings of a test strip", ""},
	{"ISO exposure of a ramp", iso("SAMPLE_ID INK EXPOSURE_S D_VIS", "a 5 60 1"), "line 3", "exposures, and fields of", "a file of its own"},
	{"patch twice", ramp + "A,0,20\nB,1,20\nA,2,20\n", "line 4, column patch", "patch A again, first in line 2", "different names"},
	{"step twice", "step,strip,tablet_density,print_density\n1,a,0,1\n1,b,0,1\n1,b,1,1\n", "line 4, column step", "step 1 of strip b again, first in line 3", "strip"},
	{"negative sd", single + "A,0,1,-1,,,,\n", "line 2, column sd", "0 or more", ""},
	{"negative spread", single + "A,0,1,1,-1,,,\n", "line 2, column spread", "0 or more", ""},
	{"no count", single + "A,0,1,1,1,0,,\n", "line 2, column count", "1 or more", "empty"},
	{"broken count", single + "A,0,1,1,1,1.5,,\n", "line 2, column count", "whole number", ""},
	{"position", single + "A,0,1,1,1,1,left,\n", "line 2, column x_mm", `found "left"`, ""},
	{"no tablet density", "step,print_density\n1,1\n", "line 1", "no column tablet_density", "--steps 21x0.15+0.05"},
	{"spectra in per cent", "wavelength_nm,a\n365,91\n", "line 2, column a", "transmittance", "per cent"},
	{"spectra below 0", "wavelength_nm,a\n365,-0.01\n", "line 2, column a", "transmittance", "noise"},
	{"wavelengths fall", "wavelength_nm,a\n365,1\n365,1\n", "line 3, column wavelength_nm", "rising wavelengths", "sort"},
	{"micrometres", "wavelength_nm,a\n0.365,1\n", "line 2, column wavelength_nm", "in nm", "nanometres"},
	{"no samples", "wavelength_nm\n365\n", "line 1", "no samples", ""},

	{"ISO: no format", "CGATS.17\nBEGIN_DATA\nEND_DATA\n", "", "no BEGIN_DATA_FORMAT", ""},
	{"ISO: no data", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\n", "", "no BEGIN_DATA", ""},
	{"ISO: cut off", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\n1\n", "line 5", "BEGIN_DATA without END_DATA", "cut off"},
	{"ISO: no fields", iso("", "1"), "", "no fields", ""},
	{"ISO: field twice", iso("SAMPLE_ID D_VIS d_vis", "1 1 1"), "line 3, column d_vis", "two fields", ""},
	{"ISO: synonyms", iso("SAMPLE_ID D_VIS TABLET_DENSITY STEP_DENSITY", "1 1 1 1"), "line 3, column STEP_DENSITY", "same as TABLET_DENSITY", ""},
	{"ISO: no readings", iso("SAMPLE_ID D_VIS", ""), "line 3", "no readings", ""},
	{"ISO: short set", iso("SAMPLE_ID INK D_VIS", "1 1 1\n2 2\n3 3 3"), "line 7", "2 values, expected 3", ""},
	{"ISO: long set", iso("SAMPLE_ID INK D_VIS", "1 1 1\n2 2 2 2\n3 3 3"), "line 7", "4 values, expected 3", ""},
	{"ISO: short last set", iso("SAMPLE_ID INK D_VIS", "1 1 1\n2 2"), "line 7", "2 values, expected 3", ""},
	{"ISO: open quote", iso("SAMPLE_ID D_VIS", "\"1 1"), "line 6", "quote", ""},
	{"ISO: fields miscounted", "NUMBER_OF_FIELDS 3\n" + iso("SAMPLE_ID INK D_VIS GLOSS", "1 1 1 1"), "line 1", `NUMBER_OF_FIELDS says "3", found 4`, ""},
	{"ISO: sets miscounted", iso("SAMPLE_ID INK D_VIS", "1 1 1") + "NUMBER_OF_SETS\n", "line 8", `NUMBER_OF_SETS says "", found 1`, ""},
	{"ISO: two tables", iso("SAMPLE_ID INK D_VIS", "1 1 1") + "BEGIN_DATA\n", "line 8", "second table", ""},
	{"ISO: no SAMPLE_ID", iso("INK D_VIS", "1 1"), "line 3", "no field SAMPLE_ID", ""},
	{"ISO: no kind", iso("SAMPLE_ID D_VIS", "1 1"), "line 3", "no field that tells", "--steps 21x0.15+0.05"},
	{"ISO: two kinds", iso("SAMPLE_ID INK STEP D_VIS", "1 1 1 1"), "line 3", "expected one of them", ""},
	{"ISO: no print", iso("SAMPLE_ID INK", "1 1"), "line 3", "no field D_VIS, LAB_L or XYZ_Y", ""},
	{"ISO: sd of XYZ", iso("SAMPLE_ID INK XYZ_Y SD", "1 1 1 1"), "line 3, column SD", "XYZ_Y", ""},
	{"ISO: XYZ as fraction", iso("SAMPLE_ID INK XYZ_Y", "a 0 0.02\nb 50 0.2\nc 100 0.8"), "line 3, column XYZ_Y", "no value above 1", "per cent"},
	{"ISO: number", iso("SAMPLE_ID INK LAB_L", "a 0 x"), "line 6, column LAB_L", `found "x"`, ""},
}

func TestRefuses(t *testing.T) {
	for _, c := range refused {
		tab, err := Read(strings.NewReader(c.in), "bad.csv", nil)
		if err == nil {
			t.Errorf("%s: read as %+v", c.name, tab)
			continue
		}
		e := wantFault(t, c.in, err)
		if e.File != "bad.csv" || e.Where != c.where || !strings.Contains(e.What, c.what) || !strings.Contains(e.Hint, c.hint) {
			t.Errorf("%s: got %v (hint: %s)\nwant %s: ...%s... (hint: ...%s...)", c.name, e, e.Hint, c.where, c.what, c.hint)
		}
	}
}

func TestRefusesSteps(t *testing.T) {
	opts := &Options{Steps: "3x0.15+0.05"}
	for _, c := range []struct{ in, where, what string }{
		{"step,print_density\n1,1\n3,0.5\n", "", "2 readings, expected the 3 steps of 3x0.15+0.05: missing 2"},
		{"step,strip,print_density\n1,a,1\n2,a,1\n3,a,1\n3,b,0.5\n", "", "1 readings on strip b, expected the 3 steps of 3x0.15+0.05: missing 1, 2"},
		{"step,print_density\n1,1\n2,1\n4,0.5\n", "line 4, column step", "step 4 is not a step"},
		{"step,print_density\n1,1\n2,1\n02,0.5\n", "line 4, column step", "step 02"},
		{iso("SAMPLE_ID D_VIS", "a 1\nb 1\nc 1\nd 1"), "", "4 readings, expected the 3 steps"},
	} {
		_, err := Read(strings.NewReader(c.in), "bad.csv", opts)
		if e := wantFault(t, c.in, err); e.Where != c.where || !strings.Contains(e.What, c.what) || !strings.Contains(e.Hint, "--steps") {
			t.Errorf("got %v (hint: %s), want %s: ...%s", e, e.Hint, c.where, c.what)
		}
	}
	_, err := Read(strings.NewReader(plain), "bad.csv", &Options{Steps: "21"})
	var e *fault.Error
	if !errors.As(err, &e) || !strings.Contains(e.What, `"21"`) {
		t.Errorf("bad notation: %v", err)
	}
}

// A few dark patches are no wrong unit.
func TestFewDarkPatchesPass(t *testing.T) {
	read(t, ramp+"A,0,3.5\nB,0,3.6\n", nil)
	read(t, ramp+"A,0,20\nB,0,20\nC,1,21\n", nil)
}

// endless yields the same line for ever, after a header.
type endless struct {
	line string
	left string
}

func (e *endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		if e.left == "" {
			e.left = e.line
		}
		k := copy(p[n:], e.left)
		e.left, n = e.left[k:], n+k
	}
	return n, nil
}

func TestLimits(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("patch,ink,print_lstar\n")
	for range delimited.MaxRows + 1 {
		rows.WriteString("A,0,20\n")
	}
	for name, c := range map[string]struct {
		r    io.Reader
		what string
	}{
		"bytes": {&endless{line: "A,0,20\n"}, "MiB"},
		"line":  {strings.NewReader(ramp + strings.Repeat("x", delimited.MaxLine+1)), "bytes in one line"},
		"rows":  {strings.NewReader(rows.String()), "more than 100000 rows"},
		"lines": {strings.NewReader(ramp + strings.Repeat("\n", delimited.MaxLines)), "lines, expected at most"},
	} {
		_, err := Read(c.r, "big.csv", nil)
		if e := wantFault(t, name, err); !strings.Contains(e.What, c.what) {
			t.Errorf("%s: got %v", name, e)
		}
	}
}
