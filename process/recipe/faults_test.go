package recipe

import (
	"slices"
	"strings"
	"testing"
)

// TestFaultsFitTheProcess: each card warns of what it can show and of nothing that
// it cannot.
func TestFaultsFitTheProcess(t *testing.T) {
	signs := func(id string) string {
		c, err := Find(id)
		if err != nil {
			t.Fatal(err)
		}
		var all []string
		for _, f := range c.WatchFor() {
			all = append(all, f.Sign)
		}
		return strings.Join(all, "\n")
	}
	for _, tc := range []struct {
		id, sign string
		want     bool
	}{
		{"cyanotype_classic", "bronze", true}, {"gum", "bronze", false}, {"polymer_gravure", "bronze", false},
		{"platinum_dop", "brown stain", true}, {"salted_paper", "brown stain", false},
		{"vandyke", "along the brush", true}, {"albumen", "along the brush", false}, {"pop_silver_chloride", "along the brush", false},
		{"kallitype", "white specks", true}, {"anthotype", "white specks", false}, // light and dark change places
		{"carbon", "rings", true}, {"anthotype", "soft edges", true},
	} {
		if got := strings.Contains(signs(tc.id), tc.sign); got != tc.want {
			t.Errorf("%s warns of %q: %t", tc.id, tc.sign, got)
		}
	}
}

// TestFaultsAreSortedAndPlain: those of one place stand together, none is lost, and
// the texts are ours.
func TestFaultsAreSortedAndPlain(t *testing.T) {
	shown := map[string]bool{}
	for _, c := range Cards() {
		last := 0
		for _, f := range c.WatchFor() {
			at := slices.Index(Places(), f.LookAt)
			if at < last {
				t.Errorf("%s: %q comes late", c.ID, f.Sign)
			}
			last, shown[f.Sign] = at, true
		}
	}
	for _, f := range PrintFaults() {
		if !shown[f.Sign] {
			t.Errorf("no card shows %q", f.Sign)
		}
		for _, text := range []string{f.Sign, f.Cause, f.Remedy} {
			checkText(t, f.Sign, text, len(text))
			if strings.HasSuffix(text, ".") || text != lowerFirst(text) && !strings.HasPrefix(text, "Newton") {
				t.Errorf("%q is no part of a sentence", text)
			}
		}
	}
	if n := len(PrintFaults()); n != 19 { // as in the table that they come from
		t.Errorf("%d faults, want 19", n)
	}
}

func TestCardRendersItsFaults(t *testing.T) {
	c, err := Find("vandyke")
	if err != nil {
		t.Fatal(err)
	}
	text := flat(rendered(t, c, 80))
	for _, f := range c.WatchFor() {
		if want := flat(upperFirst(f.Sign) + ": " + f.Cause + ". Try: " + f.Remedy); !strings.Contains(text, want) {
			t.Errorf("the card does not say %q", want)
		}
	}
}

func TestLoadRefusesBadFaults(t *testing.T) {
	const faults = "data/faults.json"
	for _, tc := range []struct{ old, new, want string }{
		{`"sources": ["memory_medium"]`, `"sources": []`, "no source"},
		{`"sources": ["memory_medium"]`, `"sources": ["hearsay"]`, "hearsay"},
		{`"look_at": "exposure"`, `"look_at": "sky"`, "sky"},
		{`"cyanotype_new"`, `"cyanotype_newer"`, "cyanotype_newer"},
		{`"cause": "the curve no longer fits"`, `"cause": ""`, "empty"},
		{`"sign": "soft edges or a halo"`, `"sign": "Dark pin-holes"`, "twice"},
		{`"remedy"`, `"remedies"`, "unknown field"},
	} {
		_, err := load(edited(t, faults, tc.old, tc.new))
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v, want an error that names %q", tc.new, err, tc.want)
		}
	}
}
