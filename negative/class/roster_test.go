package class

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"actinic/negative/sheet"
	"actinic/process/fault"
	"actinic/process/measure/delimited"

	"github.com/google/go-cmp/cmp"
)

func read(t testing.TB, roster, usual string) ([]Row, []error, error) {
	t.Helper()
	text, err := delimited.Load(strings.NewReader(roster), "class.csv")
	if err != nil {
		return nil, nil, err
	}
	return Read(text, sheet.ParseSize, usual)
}

func TestRead(t *testing.T) {
	for what, c := range map[string]struct {
		roster, usual string
		want          []Row
	}{
		"commas": {"name,picture,process,size,copies\nAnn Example,a.tif,cyanotype,203x254mm,2\n\"Example, Bo\",in/b.jpg,gum,8x10in,\n", "", []Row{
			{"class.csv", 2, "Ann Example", "a.tif", "cyanotype", "", 203, 254, 2, false, false},
			{"class.csv", 3, "Example, Bo", filepath.Join("in", "b.jpg"), "gum", "", 203.2, 254, 1, false, false}}},
		"semicolons, a calibration, no size": {"Name;Picture;Calibration\n王小明;x.png;c.calibration.json\n", "90x60mm", []Row{
			{"class.csv", 2, "王小明", "x.png", "", "c.calibration.json", 90, 60, 1, false, false}}},
		"tabs, spaces and an override in a name": {"name\tpicture\tsize\nA\u202enn   B \tx.png\t90x60mm\n", "", []Row{
			{"class.csv", 2, "Ann B", "x.png", "", "", 90, 60, 1, false, false}}},
	} {
		rows, problems, err := read(t, c.roster, c.usual)
		if err != nil || len(problems) > 0 {
			t.Errorf("%s: %v, %v", what, problems, err)
		}
		if diff := cmp.Diff(c.want, rows, cmp.AllowUnexported(Row{})); diff != "" {
			t.Errorf("%s:\n%s", what, diff)
		}
	}
}

// All that is wrong is told, each with its line.
func TestReadTellsAllProblems(t *testing.T) {
	_, problems, err := read(t, `name,picture,process,calibration,size,copies
,a.tif,,,90x60mm,
Ann,,,,90x60mm,
Bo,../a.tif,,/etc/c.json,90x60mm,
Cy,a.tif,,,huge,0
Di,a.tif,,,,1.5
Ed,a.tif,,,90x60mm,201
Flo,a.tif
"Gus,a.tif,,,90x60mm,
`, "")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range problems {
		got = append(got, p.Error())
	}
	text := strings.Join(got, "\n")
	for _, want := range []string{"line 2, column name: no name", "line 3, column picture: no picture", `line 4, column picture: "../a.tif" leads out`,
		`line 4, column calibration: "/etc/c.json" leads out`, `line 5, column size: found "huge"`, `line 5, column copies: found "0"`,
		"line 6, column size: no size", `line 6, column copies: found "1.5"`, `line 7, column copies: found "201"`,
		"line 8: 2 cells, expected 6", "line 9: a quote that is not closed"} {
		if !strings.Contains(text, want) {
			t.Errorf("not told: %s\n%s", want, text)
		}
	}
	if len(got) != 11 {
		t.Errorf("%d problems, want 11:\n%s", len(got), text)
	}
}

func TestReadRefuses(t *testing.T) {
	for what, roster := range map[string]string{
		"no name":            "picture,size\na.tif,90x60mm\n",
		"no picture":         "name,size\nAnn,90x60mm\n",
		"no size":            "name,picture\nAnn,a.tif\n",
		"an unknown column":  "name,picture,size,colour\nAnn,a.tif,90x60mm,red\n",
		"no row":             "name,picture,size\n",
		"too many negatives": "name,picture,size,copies\n" + strings.Repeat("Ann,a.tif,90x60mm,200\n", 11),
	} {
		_, _, err := read(t, roster, "")
		var user *fault.Error
		if !errors.As(err, &user) || user.File != "class.csv" {
			t.Errorf("%s: %v", what, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"name,picture,process,size,copies\nAnn,a.tif,gum,8x10in,2\n", "name;picture;size\n\"A;\";b;9x9in\n",
		"name,picture,size\n..,../../x,1x1mm\n", "name,picture,size\n\u202e(\\) Tj,C:\\x,90x60mm\n", "\xff\xfen\x00"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, problems, err := read(t, string(data), "")
		for _, e := range append(problems, err) {
			var user *fault.Error
			if e != nil && !errors.As(e, &user) {
				t.Fatalf("not for a person: %v", e)
			}
		}
		for _, r := range rows {
			if r.Person == "" && !r.faulty || !utf8.ValidString(r.Person) || strings.ContainsFunc(r.Person, unicode.IsControl) || r.Copies < 1 {
				t.Errorf("%+v", r)
			}
			for _, path := range []string{r.Picture, r.Calibration} {
				if path != "" && !filepath.IsLocal(path) {
					t.Errorf("%q leads out of its folder", path)
				}
			}
		}
	})
}

// A map is read back with the names it was written with, and a spreadsheet sees
// no formula in it.
func TestMapIsRead(t *testing.T) {
	places := []Place{
		{`Bo "Q", x`, "a.tif", "Gum", "g.json", 203.2, 254, 1, 10.04, 3, true},
		{"=HYPERLINK(1)", "b.tif", "", "", 90, 60, 2, 0, 0, false},
		{"فاطمة", "#c.tif", "Gum", "", 90, 60, 2, 100, 3, false},
	}
	var b bytes.Buffer
	if err := WriteMap(&b, places); err != nil {
		t.Fatal(err)
	}
	text, err := delimited.Load(&b, "map.csv")
	if err != nil {
		t.Fatal(err)
	}
	table, err := text.Table()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{`Bo "Q", x`, "a.tif", "Gum", "g.json", "203.2", "254.0", "1", "10.0", "3.0", "yes"},
		{"'=HYPERLINK(1)", "b.tif", "", "", "90.0", "60.0", "2", "0.0", "0.0", "no"},
		{"فاطمة", "#c.tif", "Gum", "", "90.0", "60.0", "2", "100.0", "3.0", "no"},
	}
	for i, r := range table.Rows {
		if diff := cmp.Diff(want[i], r.Cells); diff != "" {
			t.Errorf("row %d:\n%s", i, diff)
		}
	}
}
