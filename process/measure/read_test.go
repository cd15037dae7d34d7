package measure

import (
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"actinic/process/density"
	"actinic/process/tablet"
)

func read(t *testing.T, text string, opts *Options) *Table {
	t.Helper()
	tab, err := Read(strings.NewReader(text), "dir/r.csv", opts)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return tab
}

const plain = "step,tablet_density,print_density,sd,flag\n1,0.05,1.42,0.01,\n2,0.2,1.375,,dust\n"

func wantPlain() []Reading {
	a, b := Blank(), Blank()
	a.ID, a.Line, a.Tablet, a.Value, a.SD = "1", 2, 0.05, 1.42, 0.01
	b.ID, b.Line, b.Tablet, b.Value, b.Flag = "2", 3, 0.2, 1.375, "dust"
	return []Reading{a, b}
}

func encode16(s string, order binary.AppendByteOrder) string {
	var b []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + s)) {
		b = order.AppendUint16(b, u)
	}
	return string(b)
}

// The same readings however a spreadsheet wrote them.
func TestDialects(t *testing.T) {
	semicolons := "Step; Tablet_Density ;PRINT_DENSITY;sd;flag\n1;0,05;1,42;0,01;\n2;0,2;1,375;;dust\n"
	for name, text := range map[string]string{
		"plain":           plain,
		"CRLF":            strings.ReplaceAll(plain, "\n", "\r\n"),
		"CR":              strings.ReplaceAll(plain, "\n", "\r"),
		"BOM":             "\ufeff" + plain,
		"UTF-16 LE":       encode16(plain, binary.LittleEndian),
		"UTF-16 BE":       encode16(plain, binary.BigEndian),
		"tabs":            strings.ReplaceAll(plain, ",", "\t"),
		"decimal comma":   semicolons,
		"tabs and commas": strings.ReplaceAll(semicolons, ";", "\t"),
		"quoted":          "\"step\",tablet_density,print_density,sd,flag\n\"1\", \"0,05\" ,\"1,42\",0.01,\n2,0.2,\"1,375\",\"\",\"dust\"\n",
		"no last newline": strings.TrimSuffix(plain, "\n"),
		"empty columns":   strings.ReplaceAll(plain, "\n", ",,\n"),
		"exponents":       "step,tablet_density,print_density,sd,flag\n1,5e-2,+1.42,.01,\n2,2E-1,1.375,,dust\n",
	} {
		tab := read(t, text, nil)
		if d := cmp.Diff(wantPlain(), tab.Readings, nanEqual); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if tab.Kind != Tablet || tab.Unit != InDensity || tab.Name != "r.csv" || len(tab.Notices) != 0 {
			t.Errorf("%s: %+v", name, tab)
		}
	}
}

func TestCommentsKeepLineNumbers(t *testing.T) {
	tab := read(t, "# a comment, with comma\r\n\r\n  # another\r\npatch,ink,print_lstar\r\n#A,1,2\r\nA,0,20\r\n,,\r\n\"#B\",100,\"90\"\r\n", nil)
	if len(tab.Readings) != 2 || tab.Readings[0].Line != 6 || tab.Readings[1].Line != 8 || tab.Readings[1].ID != "#B" {
		t.Errorf("got %+v", tab.Readings)
	}
}

// printf 'patch,ink,print_lstar\nA,0,20\n' | sha256sum (GNU coreutils).
func TestSHA256(t *testing.T) {
	tab := read(t, "patch,ink,print_lstar\nA,0,20\n", nil)
	if want := "68b03805c18d38fc4ad3412b49733b588b6365ce10b73493b957f1025f1954d4"; tab.SHA256 != want {
		t.Errorf("got %s, want %s", tab.SHA256, want)
	}
}

func TestRamp(t *testing.T) {
	tab := read(t, "patch,ink,red,green,blue,print_lstar,spread,count,x_mm,y_mm\nA1,0,255,255,255,20.5,0.4,900,10,12.5\nB1,100,0,12.5,0,92,,,,\n", nil)
	a, b := Blank(), Blank()
	a.ID, a.Line, a.Ink, a.Device, a.HasDevice = "A1", 2, 0, [3]float64{255, 255, 255}, true
	a.Value, a.Unit, a.Spread, a.Count, a.XMM, a.YMM = 20.5, InLightness, 0.4, 900, 10, 12.5
	b.ID, b.Line, b.Ink, b.Device, b.HasDevice, b.Value, b.Unit = "B1", 3, 100, [3]float64{0, 12.5, 0}, true, 92, InLightness
	if d := cmp.Diff([]Reading{a, b}, tab.Readings, nanEqual); d != "" || tab.Kind != Ramp || tab.Unit != InLightness {
		t.Errorf("%v %s", tab.Kind, d)
	}
	if len(tab.Notices) != 0 {
		t.Errorf("notices %q", tab.Notices)
	}
	tab = read(t, "patch,ink,print_lstar\nA,0,20\n", nil)
	if len(tab.Notices) != 1 || !strings.Contains(tab.Notices[0], "neutral ramp") || tab.Readings[0].HasDevice {
		t.Errorf("neutral ramp: %+v", tab)
	}
}

func TestColours(t *testing.T) {
	tab := read(t, "patch,red,green,blue,print_density\nA1,255,0,0,0.5\n", nil)
	if r := tab.Readings[0]; tab.Kind != Colours || !r.HasDevice || r.Device != [3]float64{255, 0, 0} || r.Value != 0.5 {
		t.Errorf("got %+v", tab)
	}
}

func TestSpectra(t *testing.T) {
	tab := read(t, "wavelength_nm\tlamp\t\"film, clear\"\n365\t0,5\t0,91\n370,5\t0,25\t1\n", nil)
	want := []Sample{{"lamp", []float64{0.5, 0.25}}, {"film, clear", []float64{0.91, 1}}}
	if d := cmp.Diff(want, tab.Samples); d != "" || tab.Kind != Spectra || !cmp.Equal(tab.WavelengthsNM, []float64{365, 370.5}) {
		t.Errorf("%v %v %s", tab.Kind, tab.WavelengthsNM, d)
	}
	tab = read(t, "lamp,wavelength_nm\n1000,365\n", &Options{RelativeSpectra: true})
	if tab.Samples[0].Values[0] != 1000 {
		t.Errorf("got %+v", tab)
	}
}

func TestReadingConverts(t *testing.T) {
	d := Reading{Value: 1, Unit: InDensity}
	l := Reading{Value: 50, Unit: InLightness}
	// CIE 15:2018: D 1 is L* 37.842430, L* 50 is D 0.7347421611.
	if math.Abs(float64(d.Lightness())-37.842430) > 5e-7 || d.Density() != 1 {
		t.Errorf("density 1: L* %g", d.Lightness())
	}
	if math.Abs(float64(l.Density())-0.7347421611) > 5e-11 || l.Lightness() != 50 {
		t.Errorf("L* 50: density %g", l.Density())
	}
}

func TestSteps(t *testing.T) {
	text := "strip,step,print_density\na,1,1.4\na,02,1.2\na,3,0.5\nb,3,0.4\nb,2,1.1\nb,1,1.3\n"
	tab := read(t, text, &Options{Steps: "3x0,15+0,05"})
	want := []density.Density{0.05, 0.2, 0.35, 0.35, 0.2, 0.05}
	for i, r := range tab.Readings {
		if r.Tablet != want[i] || r.TabletSD != tablet.UncalibratedSD(want[i]) {
			t.Errorf("reading %d: tablet %g +- %g, want %g", i, r.Tablet, r.TabletSD, want[i])
		}
	}
	if got := tab.Strips(); !cmp.Equal(got, []string{"a", "b"}) {
		t.Errorf("strips %q", got)
	}
	cal := &tablet.Tablet{Name: "own.csv", Steps: []tablet.Step{{Name: "1", Density: 0.04, SD: 0.003}, {Name: "2", Density: 0.16, SD: 0.003}}}
	tab = read(t, "step,print_density\n2,1\n1,1.2\n", &Options{Steps: "3x1+0", Tablet: cal})
	if tab.Readings[0].Tablet != 0.16 || tab.Readings[0].TabletSD != 0.003 {
		t.Errorf("calibrated: %+v", tab.Readings)
	}
	tab = read(t, plain, &Options{Steps: "2x0.3+0"})
	if tab.Readings[0].Tablet != 0.05 || !math.IsNaN(tab.Readings[0].TabletSD) || len(tab.Notices) != 1 {
		t.Errorf("the file's own densities must stand, with a notice: %+v", tab)
	}
}

// A file of ISO 28178 text that Little CMS's parser accepts.
func TestExampleISO28178(t *testing.T) {
	tab, err := ReadFile(filepath.Join("..", "..", "testdata", "vectors", "example_cgats17.txt"), nil)
	if err != nil {
		t.Fatal(err)
	}
	var want []Reading
	for i, v := range []struct {
		id         string
		d, p, a, b float64
	}{{"S01", .05, 1.42, 1.2, -24.6}, {"S02", .20, 1.37, .4, -25.9}, {"S03", .35, 1.21, -2.1, -27}} {
		r := Blank()
		r.ID, r.Line, r.Tablet, r.Value, r.LabA, r.LabB = v.id, 18+i, density.Density(v.d), v.p, v.a, v.b
		want = append(want, r)
	}
	if d := cmp.Diff(want, tab.Readings, nanEqual); d != "" || tab.Kind != Tablet || tab.Unit != InDensity {
		t.Errorf("%v %s", tab.Kind, d)
	}
	if len(tab.Notices) != 1 || !strings.Contains(tab.Notices[0], "LAB_L is not used") {
		t.Errorf("notices %q", tab.Notices)
	}
}

func iso(fields, data string) string {
	return "CGATS.17\nBEGIN_DATA_FORMAT\n" + fields + "\nEND_DATA_FORMAT\nBEGIN_DATA\n" + data + "\nEND_DATA\n"
}

func TestISOForms(t *testing.T) {
	tab := read(t, iso("SAMPLE_ID INK LAB_L D_RED", "A1 0 20,5 1.5\n\"B 1\" 100\n92 0.1 # wrapped"), nil)
	if tab.Kind != Ramp || tab.Readings[1].ID != "B 1" || tab.Readings[1].Value != 92 || tab.Readings[0].Value != 20.5 || tab.Readings[1].Line != 7 {
		t.Errorf("ramp: %+v", tab)
	}
	if len(tab.Notices) != 1 {
		t.Errorf("notices %q, want the neutral ramp", tab.Notices)
	}
	tab = read(t, strings.ReplaceAll(iso("SAMPLE_ID\tXYZ_Y", "x\t1\ny\t18.41865185"), "\n", "\r"), &Options{Steps: "2x0.3+0.1"})
	// CIE 15:2018: Y 1 is L* 8.9914, Y 18.41865185 is L* 50.
	if tab.Kind != Tablet || tab.Unit != InLightness || math.Abs(tab.Readings[0].Value-8.991442404) > 1e-8 ||
		math.Abs(tab.Readings[1].Value-50) > 1e-7 || tab.Readings[1].Tablet != 0.4 {
		t.Errorf("tablet in order: %+v", tab)
	}
	tab = read(t, iso("SAMPLE_ID STEP D_VIS", "x 2 1\ny 1 1.2"), &Options{Steps: "2x0.3+0.1"})
	if tab.Readings[0].ID != "2" || tab.Readings[0].Tablet != 0.4 {
		t.Errorf("tablet by step: %+v", tab)
	}
	tab = read(t, iso("SAMPLE_ID RGB_R RGB_G RGB_B D_VIS OTHER", "x 2 1 255 1.2 z"), nil)
	if tab.Kind != Colours || tab.Readings[0].Device != [3]float64{2, 1, 255} || len(tab.Notices) != 1 || !strings.Contains(tab.Notices[0], "OTHER") {
		t.Errorf("colours: %+v", tab)
	}
}

func TestReadFileMissing(t *testing.T) {
	_, err := ReadFile(filepath.Join(t.TempDir(), "none.csv"), nil)
	if !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	wantFault(t, "", err)
	_, err = ReadFile(t.TempDir(), nil)
	wantFault(t, "", err)
}
