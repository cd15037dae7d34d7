package recipe

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// wantIDs are the processes the design names, one by one.
var wantIDs = []string{
	"albumen", "anthotype", "carbon", "chrysotype", "cyanotype_classic", "cyanotype_new",
	"gum", "kallitype", "palladium_dop", "platinum_dop", "polymer_gravure", "pop_palladium",
	"pop_silver_chloride", "ptpd_mix", "salted_paper", "vandyke",
}

func TestCounts(t *testing.T) {
	var ids []string
	for _, c := range Cards() {
		ids = append(ids, c.ID)
	}
	if diff := cmp.Diff(wantIDs, ids); diff != "" {
		t.Errorf("cards (-want +got):\n%s", diff)
	}
	if n := len(Chemicals()); n != 32 {
		t.Errorf("%d chemicals, want 32", n)
	}
	if n := len(Incompatibilities()); n != 16 {
		t.Errorf("%d incompatibilities, want 16", n)
	}
}

func TestEveryChemicalIsUsedOrAHazardOfCleaning(t *testing.T) {
	used := map[string]bool{"hypochlorite": true} // used in no process, by its own role
	for _, c := range Cards() {
		for _, id := range c.ChemicalIDs(true) {
			if _, err := FindChemical(id); err != nil {
				t.Errorf("%s: %v", c.ID, err)
			}
			used[id] = true
		}
	}
	for _, c := range Chemicals() {
		if !used[c.ID] {
			t.Errorf("%s is used by no process", c.ID)
		}
	}
}

func TestEveryCodeHasWordsAndIsUsed(t *testing.T) {
	used := map[string]bool{}
	for _, c := range Chemicals() {
		for _, code := range c.codes() {
			s, ok := FindHazardStatement(code)
			if !ok || s.Text == "" || s.Source.Citation == "" {
				t.Errorf("%s: %s has no words or no source", c.ID, code)
			}
			used[code] = true
		}
	}
	for _, s := range HazardStatements() {
		if !used[s.Code] {
			t.Errorf("%s is used by no chemical", s.Code)
		}
	}
}

// TestEverySourceIsLabelled walks every figure and statement of the data.
func TestEverySourceIsLabelled(t *testing.T) {
	cited := map[string]bool{}
	for _, c := range data().citations() {
		where := c.where
		if len(*c.sources) == 0 {
			t.Errorf("%s: no source", where)
		}
		for _, s := range *c.sources {
			cited[s.Key] = true
			if s.Citation == "" || s.Label() == "" {
				t.Errorf("%s: source %q has no citation", where, s.Key)
			}
			if !slices.Contains([]Kind{Published, Practitioner, Memory}, s.Kind) {
				t.Errorf("%s: source %q is of kind %q", where, s.Key, s.Kind)
			}
		}
	}
	for _, s := range HazardStatements() {
		cited[s.Source.Key] = true
	}
	for key := range data().sources {
		if !cited[key] {
			t.Errorf("source %q is cited nowhere", key)
		}
	}
}

func TestLabelsSayWhatKindOfSource(t *testing.T) {
	for _, s := range data().sources {
		switch label := s.Label(); s.Kind {
		case Memory:
			if !strings.HasPrefix(label, "common practice, from memory") {
				t.Errorf("%s: %q", s.Key, label)
			}
		case Practitioner:
			if !strings.HasPrefix(label, "practitioners' pages: ") {
				t.Errorf("%s: %q", s.Key, label)
			}
		}
	}
}

// rawTag finds the mark-up of the notes the data came from, and words of the
// trade that the house does not use.
var rawTag = regexp.MustCompile(`\[[VP]:|M-(high|med|low)|memory_(high|medium|low)|(?i)sensitizer|sensitize\b|dmax|\bhypo\b|base exposure|full ink\b`)

func TestNoRawTagInData(t *testing.T) {
	for _, c := range Cards() {
		for _, s := range c.statements() {
			if hit := rawTag.FindString(s.Text); hit != "" {
				t.Errorf("%s: %q in %q", c.ID, hit, s.Text)
			}
		}
	}
}

// TestStepsAgreeWithFigures holds the times and volumes that the steps repeat
// against the figures of the same card.
func TestStepsAgreeWithFigures(t *testing.T) {
	for _, c := range Cards() {
		var steps strings.Builder
		for _, s := range c.Steps {
			steps.WriteString(s.Text + "\n")
		}
		if c.Light == UVLamp {
			minutes := fmt.Sprintf("%s to %s min", number(c.ExposureMinutes.Low), number(c.ExposureMinutes.High))
			if !strings.Contains(steps.String(), minutes) {
				t.Errorf("%s: the steps do not say %q", c.ID, minutes)
			}
		}
		if k := c.CoatingML8x10; k != nil && c.ID != "albumen" { // albumen is floated
			volume := "about " + number(k.Typical) + " ml for 8 x 10 in"
			if !strings.Contains(steps.String(), volume) {
				t.Errorf("%s: the steps do not say %q", c.ID, volume)
			}
		}
	}
}

// TestFilmSense checks the cards' geometry: contact with the ink side down needs
// a mirrored film; a transfer or a plate turns the picture over once more.
func TestFilmSense(t *testing.T) {
	for _, c := range Cards() {
		turned := c.ID == "carbon" || c.ID == "polymer_gravure"
		if c.Mirrored == turned {
			t.Errorf("%s: mirrored is %t", c.ID, c.Mirrored)
		}
		if positive := c.Polarity == Positive; positive != c.Falling {
			t.Errorf("%s: takes a %s, but print lightens with exposure is %t", c.ID, c.Polarity, c.Falling)
		}
	}
}

func TestHazardLevels(t *testing.T) {
	want := map[string]HazardLevel{
		"gum": HighHazard, "carbon": HighHazard, "cyanotype_new": HighHazard, // dichromates
		"platinum_dop": HighHazard, "ptpd_mix": HighHazard, "pop_palladium": HighHazard, // chloroplatinites
		"vandyke": MediumHazard, "salted_paper": MediumHazard, "albumen": MediumHazard, // silver nitrate
		"cyanotype_classic": LowHazard, "anthotype": LowHazard,
	}
	for id, level := range want {
		c, err := Find(id)
		if err != nil {
			t.Fatal(err)
		}
		if c.HazardLevel != level {
			t.Errorf("%s: hazard level %s, want %s", id, c.HazardLevel, level)
		}
	}
	classic, _ := Find("cyanotype_classic")
	if classic.HazardLevelWithOptions != HighHazard {
		t.Errorf("classic cyanotype with a trace of dichromate is %s, want high", classic.HazardLevelWithOptions)
	}
}

func TestStartingExposure(t *testing.T) {
	c, _ := Find("cyanotype_classic")
	if m := c.StartingExposure.Minutes; m < 14.14 || m > 14.15 { // sqrt(8 x 25)
		t.Errorf("starting exposure %g min, want 14.14", m)
	}
	a, _ := Find("anthotype")
	if a.StartingExposure.Minutes != 0 || a.StartingExposure.Label == "" {
		t.Errorf("anthotype: %+v, want no single time, and why", a.StartingExposure)
	}
}

// TestCardSurvivesJSON: what is printed can be read back unchanged.
func TestCardSurvivesJSON(t *testing.T) {
	for _, c := range Cards() {
		text, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		var back Card
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c, back); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.ID, diff)
		}
		if strings.Contains(string(text), ":null") && c.CoatingML8x10 != nil {
			t.Errorf("%s: a list is null in JSON", c.ID)
		}
	}
}

func TestSheetHoldsEveryHazard(t *testing.T) {
	c, _ := Find("platinum_dop")
	s := c.Sheet()
	if len(s.Chemicals) != len(c.Chemicals) || len(s.Incompatible) == 0 || len(s.UVLimits) != 3 {
		t.Fatalf("sheet is incomplete: %d chemicals, %d pairs, %d limits", len(s.Chemicals), len(s.Incompatible), len(s.UVLimits))
	}
	words := map[string]bool{}
	for _, h := range s.HazardStatements {
		words[h.Code] = true
	}
	for _, chemical := range s.Chemicals {
		for _, code := range chemical.codes() {
			if !words[code] {
				t.Errorf("%s: %s has no words in the sheet", chemical.ID, code)
			}
		}
	}
	if text, _ := json.Marshal(s); strings.Contains(string(text), ":null") {
		t.Error("a list is null in JSON")
	}
}

func TestCallersCannotReorderTheCards(t *testing.T) {
	cards := Cards()
	cards[0], cards[1] = cards[1], cards[0]
	if Cards()[0].ID != wantIDs[0] {
		t.Error("changing the returned slice changed the next caller's")
	}
}
