package measure

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"

	"actinic/process/sensitometry"
)

func TestReadExposures(t *testing.T) {
	in := "patch,exposure_s,print_density,sd,flag\npaper,0,0.08,,\n1,120,0.6,0.01,\n2,240.5,1.2,,dust\n"
	tab := read(t, in, nil)
	if tab.Kind != Exposures || tab.Readings[0].Exposure != (sensitometry.Exposure{Amount: 0, Unit: sensitometry.Seconds}) ||
		tab.Readings[2].Exposure.Amount != 240.5 || tab.Readings[2].Flag != "dust" {
		t.Errorf("read %+v", tab)
	}
	var b bytes.Buffer
	if err := WriteCSV(&b, tab); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(in, b.String()); d != "" {
		t.Error(d)
	}
	tab = read(t, "Patch;Exposure_Units;print_lstar\n1;12,5;40\n", nil)
	if tab.Readings[0].Exposure != (sensitometry.Exposure{Amount: 12.5, Unit: sensitometry.LampUnits}) {
		t.Errorf("read %+v", tab.Readings[0])
	}
}

// Sense and count go by exposure: longer is darker, unless the process lightens.
func TestCheckExposures(t *testing.T) {
	const head = "patch,exposure_s,print_density\n"
	right, wrong := head+"1,10,0.1\n2,20,0.4\n3,40,0.9\n4,80,1.2\n", head+"1,80,0.1\n2,40,0.4\n3,20,0.9\n4,10,1.2\n"
	if err := CheckSense(read(t, right, nil), true); err != nil {
		t.Error(err)
	}
	if err := CheckSense(read(t, wrong, nil), false); err != nil {
		t.Error(err)
	}
	e := wantFault(t, wrong, CheckSense(read(t, wrong, nil), true))
	if want := "the print gets darker as the exposure gets shorter, expected lighter"; e.What != want {
		t.Errorf("%q, want %q", e.What, want)
	}
	e = wantFault(t, right, CheckCount(read(t, right, nil), 5, "why"))
	if want := "4 different exposures, expected at least 5: why"; e.What != want {
		t.Errorf("%q, want %q", e.What, want)
	}
}

// Patches known by name only are read when asked for; columns that say more keep
// saying it.
func TestReadByPatch(t *testing.T) {
	by := &Options{ByPatch: true}
	for in, want := range map[string]Kind{
		"patch,print_lstar\nA1,50\n":                   Patches,
		iso("SAMPLE_ID D_VIS", "A1 0.5"):               Patches,
		iso("SAMPLE_ID INK D_VIS", "A1 5 0.5"):         Ramp,
		"patch,ink,print_lstar\nA1,5,50\n":             Ramp,
		"step,tablet_density,print_lstar\n1,0.05,50\n": Tablet,
	} {
		if tab := read(t, in, by); tab.Kind != want || tab.Readings[0].Value == 0 {
			t.Errorf("%q: %v, want %v", in, tab.Kind, want)
		}
	}
}

// The first bytes of files: the magic numbers are those of the formats'
// specifications (TIFF 6.0; PNG, ISO/IEC 15948; JPEG, ITU-T T.81).
func TestIsText(t *testing.T) {
	for head, want := range map[string]bool{
		"II*\x00\x08\x00\x00\x00": false, "MM\x00*": false, "\x89PNG\r\n\x1a\n": false, "\xff\xd8\xff\xe0\x00\x10JFIF": false,
		"patch,print_lstar\r\nA1,5\t\n": true, "CGATS.17\n": true, "\xef\xbb\xbfpatch": true, "\xff\xfep\x00": true, "gr\xfcn,1": true,
	} {
		if got := IsText([]byte(head)); got != want {
			t.Errorf("IsText(%q) = %v", head, got)
		}
	}
}
