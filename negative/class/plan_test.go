package class

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/negative/batch"
	"actinic/negative/sheet"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// straight is a neutral curve without calibration: film ink is picture tone.
type straight struct{}

func (straight) Ink(tone float64) float64 { return tone }
func (straight) Device(ink float64) [3]float64 {
	v := 1 - ink/100
	return [3]float64{v, v, v}
}
func (straight) Neutral() bool { return true }

func photos(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"cat.png", "dandelions.jpg"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "photos", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Rows become negatives, copies one after the other, and the map tells each of
// them. A size is turned to the way that its picture lies.
func TestPlan(t *testing.T) {
	kind := &Kind{Recipe: &batch.Recipe{Curve: straight{}, Tone: tone.Options{Fit: tone.FitCrop}, About: batch.Description{Process: "Gum dichromate", Calibration: "g.json"}}}
	rows := []Row{
		{File: "class.csv", Line: 2, Person: "Ann", Picture: "cat.png", WidthMM: 60, HeightMM: 90, Copies: 2},
		{File: "class.csv", Line: 3, Person: "Bo", Picture: "dandelions.jpg", WidthMM: 90, HeightMM: 60, Copies: 1},
	}
	all, _, problems := Plan(rows, Options{Folder: photos(t), KindOf: func(Row) (*Kind, error) { return kind, nil }})
	if len(problems) > 0 || len(all) != 3 {
		t.Fatalf("%d negatives, %v", len(all), problems)
	}
	var items []sheet.Item
	for i, want := range []string{"Ann cat.png", "Ann cat.png", "Bo dandelions.jpg"} {
		it := all[i].Item
		items = append(items, it)
		if it.Person+" "+it.Label.Name != want || it.Label.Process != "Gum dichromate" || it.Label.Calibration != "g.json" {
			t.Errorf("negative %d is labelled %q, %+v; want %s", i, it.Person, it.Label, want)
		}
		src, err := it.Open()
		if err != nil {
			t.Fatal(err)
		}
		h := src.Header()
		if wider := h.Width > h.Height; wider != (it.WidthMM > it.HeightMM) {
			t.Errorf("negative %d: %d x %d pixels for %g x %g mm", i, h.Width, h.Height, it.WidthMM, it.HeightMM)
		}
		if err := src.Close(); err != nil {
			t.Error(err)
		}
	}
	if it := all[0].Item; it.WidthMM < 89.9 || it.WidthMM > 90.1 {
		t.Errorf("a picture that lies gets %g x %g mm, want 90 x 60", it.WidthMM, it.HeightMM)
	}
	film, err := sheet.ParseFilm("A4")
	if err != nil {
		t.Fatal(err)
	}
	pages, err := sheet.Layout(items, sheet.Options{Film: film, GapMM: 5})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range Map(all, 0, pages) {
		if p.Person != all[i].Row.Person || p.Picture != all[i].Row.Picture || p.Page < 1 || p.XMM <= 0 || p.YMM <= 0 {
			t.Errorf("negative %d lies at %+v", i, p)
		}
	}
}

// Every row that cannot become a negative is told, with its line.
func TestPlanTellsAllProblems(t *testing.T) {
	rows := []Row{
		{File: "class.csv", Line: 2, Picture: "CAT.PNG", Copies: 1},
		{File: "class.csv", Line: 3, Picture: "cat.png", Copies: 1},
		{File: "class.csv", Line: 4, Picture: "none.png", Copies: 1},
		{File: "class.csv", Line: 5, Picture: "none.png", Copies: 1, faulty: true},
		{File: "cat.png", Line: 7, Picture: "cat.png", Copies: 1}, // a roster that names itself
		{File: "class.csv", Line: 6, Copies: 1, faulty: true, noCalibration: true},
	}
	_, _, problems := Plan(rows, Options{Folder: photos(t), KindOf: func(r Row) (*Kind, error) { return nil, fault.New("", "", "no calibration", "") }})
	var got []string
	for _, p := range problems {
		got = append(got, p.Error())
	}
	text := strings.Join(got, "\n")
	for _, want := range []string{"line 3: no calibration", "class.csv: line 4, column picture:", "line 4: no calibration",
		"class.csv: line 5, column picture:", "line 5: no calibration", "cat.png: line 7: no calibration"} {
		if !strings.Contains(text, want) {
			t.Errorf("not told: %s\n%s", want, text)
		}
	}
	if strings.Contains(text, "line 6") {
		t.Errorf("told twice:\n%s", text)
	}
}
