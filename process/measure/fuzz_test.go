package measure

import (
	"bytes"
	"strings"
	"testing"

	"actinic/testdata/vectors"
)

// readAny reads data with and without a tablet and holds the reader to its word:
// an error says where and what; readings pass the writers and come back the same.
func readAny(t *testing.T, data []byte) {
	if len(data) > 16<<10 {
		return // quoting could take a line over the limit
	}
	for _, opts := range []*Options{nil, {Steps: "3x0.15+0.05", RelativeSpectra: true}, {ByPatch: true}} {
		tab, err := Read(bytes.NewReader(data), "f.csv", opts)
		if err != nil {
			wantFault(t, string(data), err)
			continue
		}
		writeBack(t, tab, opts)
	}
}

func writeBack(t *testing.T, tab *Table, opts *Options) {
	var b bytes.Buffer
	if err := WriteCSV(&b, tab); err != nil {
		t.Fatalf("readings that cannot be written: %v", err)
	}
	back, err := Read(&b, "f.csv", opts)
	if err != nil {
		t.Fatalf("written, then refused: %v", err)
	}
	for i := range tab.Readings {
		tab.Readings[i].TabletSD = back.Readings[i].TabletSD
	}
	if d := same(tab, back); d != "" {
		t.Fatalf("changed by writing and reading: %s", d)
	}
	if tab.Kind == Spectra {
		return
	}
	b.Reset()
	if err := WriteISO28178(&b, tab, created); err != nil {
		return // text with quotes
	}
	if back, err = Read(&b, "f.txt", opts); err != nil {
		t.Fatalf("written as ISO 28178 text, then refused: %v", err)
	}
	for i := range tab.Readings {
		tab.Readings[i].TabletSD = back.Readings[i].TabletSD
	}
	if d := same(tab, back); d != "" {
		t.Fatalf("changed by ISO 28178 text: %s", d)
	}
}

func FuzzCSV(f *testing.F) {
	for _, s := range []string{
		plain, "\ufeff" + plain, strings.ReplaceAll(plain, "\n", "\r"), strings.ReplaceAll(plain, ",", "\t"),
		"step;print_density\n1;0,5\n2;0,25\n3;0\n", "patch,ink,red,green,blue,print_lstar\nA,0,1,2,3,4\n",
		"wavelength_nm,a,\"b,c\"\n365,0.5,1\n370,0.25,0\n", "\xff\xfep\x00,\x00",
		"patch,exposure_s,print_density\nA,0,0.1\nB,60,1.2\n", "patch,exposure_units,print_lstar\nA,3,10\n", "patch,print_lstar\nA,3\n",
	} {
		f.Add([]byte(s))
	}
	for _, c := range refused {
		f.Add([]byte(c.in))
	}
	f.Fuzz(readAny)
}

func FuzzISO28178(f *testing.F) {
	f.Add(vectors.Bytes(f, "example_cgats17.txt"))
	for _, s := range []string{
		iso("SAMPLE_ID INK XYZ_Y", "a 0 5\nb 100 90"), iso("SAMPLE_ID D_VIS", "a 1\nb 2\nc 3"),
		iso("SAMPLE_ID STEP STRIP D_VIS", "a 1 \"x y\" 1\nb 2 \"x y\" 2\nc 3 \"x y\" 3"),
		iso("SAMPLE_ID INK STRIP D_VIS", "a 5 x 1"), iso("SAMPLE_ID STRIP D_VIS", "a x 1"),
		iso("SAMPLE_ID EXPOSURE_S D_VIS", "a 1 2\nb 0 1"),
		iso("SAMPLE_ID RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B", "a 1 2 3 4 5 6"),
	} {
		f.Add([]byte(s))
	}
	for _, c := range refused {
		if strings.HasPrefix(c.name, "ISO") {
			f.Add([]byte(c.in))
		}
	}
	f.Fuzz(readAny)
}
