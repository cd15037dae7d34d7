package recipe

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func rendered(t *testing.T, c Card, width int) string {
	t.Helper()
	var b bytes.Buffer
	if err := c.Render(&b, width); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// checkText holds text to what a terminal of the width shows tidily.
func checkText(t *testing.T, where, text string, width int) {
	t.Helper()
	if hit := rawTag.FindString(text); hit != "" {
		t.Errorf("%s: raw tag or foreign word %q", where, hit)
	}
	for i, line := range strings.Split(text, "\n") {
		if len(line) > width {
			t.Errorf("%s, width %d, line %d is %d wide: %q", where, width, i+1, len(line), line)
		}
		if strings.TrimRight(line, " ") != line || strings.ContainsAny(line, "\t\r") {
			t.Errorf("%s: line %d has tabs or trailing spaces: %q", where, i+1, line)
		}
		for _, r := range line {
			if r > 126 {
				t.Errorf("%s: line %d is not plain ASCII: %q", where, i+1, line)
				break
			}
		}
	}
}

func TestRenderIsTidyAtEveryWidth(t *testing.T) {
	for _, c := range Cards() {
		for _, width := range []int{64, 80, 120} {
			checkText(t, c.ID, rendered(t, c, width), width)
		}
		if rendered(t, c, 0) != rendered(t, c, 80) || rendered(t, c, 10) != rendered(t, c, 64) {
			t.Errorf("%s: width 0 must mean 80, and 10 be taken as 64", c.ID)
		}
	}
}

// TestRenderSaysEverything: whatever may hurt is on the page, on one line or
// wrapped.
func TestRenderSaysEverything(t *testing.T) {
	for _, c := range Cards() {
		text := flat(rendered(t, c, 80))
		want := []string{c.ID, c.FullName, string(c.Polarity), c.MirrorNote, "hazard level", standingCaution, c.ShortCaution()}
		for i, s := range c.Steps {
			want = append(want, fmt.Sprintf(" %d. %s", i+1, s.Text))
		}
		for _, pair := range c.Incompatible() {
			want = append(want, pair.Result)
		}
		for _, use := range c.Chemicals {
			chemical, _ := chemicalByID(use.ID)
			want = append(want, chemical.Name, chemical.Disposal)
			want = append(want, chemical.KeepAwayFrom...)
			want = append(want, chemical.Protection...)
			for _, code := range chemical.codes() {
				statement, _ := FindHazardStatement(code)
				want = append(want, code+" "+statement.Text)
			}
		}
		for _, s := range c.LightCautions() {
			want = append(want, s.Text)
		}
		for _, w := range want {
			if !strings.Contains(text, flat(w)) {
				t.Errorf("%s: the page does not say %q", c.ID, w)
			}
		}
	}
}

// flat joins lines and squeezes spaces.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// TestRenderListsEachCitedSource: no mark without a note, no note without a mark.
func TestRenderListsEachCitedSource(t *testing.T) {
	for _, c := range Cards() {
		body, notes, found := strings.Cut(rendered(t, c, 80), "\nSOURCES\n")
		if !found {
			t.Fatalf("%s: no list of sources", c.ID)
		}
		for _, mark := range append([]string{"a", "b", "c"}, numbers(1, 60)...) {
			mark = "[" + mark + "]"
			if strings.Contains(body, mark) != strings.Contains(notes, "  "+mark) {
				t.Errorf("%s: mark %s stands on one side only", c.ID, mark)
			}
		}
	}
}

func numbers(from, to int) []string {
	var list []string
	for i := from; i <= to; i++ {
		list = append(list, fmt.Sprint(i))
	}
	return list
}

func TestRenderList(t *testing.T) {
	for _, width := range []int{64, 80, 120} {
		var b bytes.Buffer
		if err := RenderList(&b, width); err != nil {
			t.Fatal(err)
		}
		checkText(t, "list", b.String(), width)
		for _, c := range Cards() {
			if !strings.Contains(b.String(), "\n"+c.ID+" ") {
				t.Errorf("width %d: %s is not listed", width, c.ID)
			}
			if width >= 80 && !strings.Contains(b.String(), c.Name) {
				t.Errorf("width %d: %q is not listed", width, c.Name)
			}
		}
	}
}

type brokenWriter struct{}

var errBroken = errors.New("broken")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestRenderReportsAWriteError(t *testing.T) {
	if err := Cards()[0].Render(brokenWriter{}, 80); !errors.Is(err, errBroken) {
		t.Errorf("card: %v", err)
	}
	if err := RenderList(brokenWriter{}, 80); !errors.Is(err, errBroken) {
		t.Errorf("list: %v", err)
	}
}

func TestCautions(t *testing.T) {
	for _, c := range Cards() {
		short := c.ShortCaution()
		if !strings.Contains(short, "UV") || !strings.Contains(short, "safety data sheet") || len(short) > 300 {
			t.Errorf("%s: short caution %q", c.ID, short)
		}
		if n := strings.Count(short, ". ") + 1; n != 2 {
			t.Errorf("%s: the short caution has %d sentences, want 2", c.ID, n)
		}
		list := c.Cautions()
		if list[0] != short || list[len(list)-1] != StandingCaution() {
			t.Errorf("%s: cautions must begin with the short and end with the standing one", c.ID)
		}
		for _, text := range list {
			checkText(t, c.ID, text, len(text))
		}
	}
	if !strings.Contains(StandingCaution(), "supplier's safety data sheet, local rules and licensed practice") {
		t.Error("the standing caution does not name what takes precedence")
	}
	if !strings.Contains(GeneralCaution(), "UV") {
		t.Error("the general caution does not name UV")
	}
}

// TestShortCautionNamesTheWorst: where a required chemical lifts the process to
// the high level, the short caution names its family.
func TestShortCautionNamesTheWorst(t *testing.T) {
	family := map[string]string{"k2cr2o7": "dichromate", "nh4cr2o7": "dichromate", "k2ptcl4": "chloroplatinite", "nh4ptcl4": "chloroplatinite"}
	for _, c := range Cards() {
		for _, id := range c.ChemicalIDs(false) {
			chemical, _ := chemicalByID(id)
			if chemical.hazardLevel() != HighHazard {
				continue
			}
			if name := family[id]; name == "" || !strings.Contains(strings.ToLower(c.ShortCaution()), name) {
				t.Errorf("%s: the short caution does not name %s: %q", c.ID, id, c.ShortCaution())
			}
		}
	}
}

// TestWrap: no word is lost, no line is wider than asked unless one word is.
func TestWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-z0-9]{1,12}`)).Draw(t, "words")
		width := rapid.IntRange(12, 40).Draw(t, "width")
		lines := wrap(strings.Join(words, " "), width)
		if got := flat(strings.Join(lines, " ")); got != strings.Join(words, " ") {
			t.Fatalf("text changed to %q", got)
		}
		for _, line := range lines {
			if len(line) > width && len(strings.Fields(line)) > 2 { // a number and its unit stay together
				t.Fatalf("line %q is wider than %d", line, width)
			}
		}
	})
	if got := wrap("expose for 10 min", 13); len(got) != 2 || got[1] != "10 min" {
		t.Errorf("a number was parted from its unit: %q", got)
	}
}
