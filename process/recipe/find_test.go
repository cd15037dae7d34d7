package recipe

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"actinic/process/fault"
)

func TestFind(t *testing.T) {
	for name, want := range map[string]string{
		"cyanotype_classic":                     "cyanotype_classic",
		"Cyanotype Classic":                     "cyanotype_classic",
		"CYANOTYPE-CLASSIC":                     "cyanotype_classic",
		" cyanotype  new ":                      "cyanotype_new",
		"Van Dyke brown":                        "vandyke",
		"van-dyke":                              "vandyke",
		"salt":                                  "salted_paper",
		"platinum":                              "platinum_dop", // exact name wins over the longer platinum-palladium
		"Pt/Pd":                                 "ptpd_mix",
		"gum bichromate":                        "gum",
		"gravure":                               "polymer_gravure",
		"photopolymer":                          "polymer_gravure",
		"chryso":                                "chrysotype",
		"pop_s":                                 "pop_silver_chloride",
		"Kallitype (ferric oxalate and silver)": "kallitype",
	} {
		c, err := Find(name)
		if err != nil || c.ID != want {
			t.Errorf("Find(%q) = %q, %v; want %q", name, c.ID, err, want)
		}
	}
}

func TestFindEveryCardByEveryName(t *testing.T) {
	for _, c := range Cards() {
		for _, name := range append([]string{c.ID, c.Name, c.FullName}, c.Aliases...) {
			if got, err := Find(strings.ToUpper(name)); err != nil || got.ID != c.ID {
				t.Errorf("Find(%q) = %q, %v; want %q", name, got.ID, err, c.ID)
			}
		}
	}
}

func TestFindRefuses(t *testing.T) {
	for _, tc := range []struct{ name, what, hint string }{
		{"cyanotpye_clasic", "no process has this name", "cyanotype_classic"},
		{"kalitype", "no process has this name", "kallitype"},
		{"albumin", "no process has this name", "albumen"},
		{"cyan", "fits 2: cyanotype_classic, cyanotype_new", "cyanotype_classic or cyanotype_new"},
		{"pop", "fits 2: pop_palladium, pop_silver_chloride", "pop_palladium or"},
		{"", "empty", "process list"},
		{" - _", "empty", "process list"},
		{strings.Repeat("x", 1<<20), "no process has this name", "process list"},
		{"xyz", "no process has this name", "'actinic process list' shows all processes"},
	} {
		_, err := Find(tc.name)
		var e *fault.Error
		if !errors.As(err, &e) {
			t.Errorf("Find(%.20q) = %v, want a *fault.Error", tc.name, err)
			continue
		}
		if !strings.Contains(e.What, tc.what) || !strings.Contains(e.Hint, tc.hint) {
			t.Errorf("Find(%.20q): what %q, hint %q; want %q, %q", tc.name, e.What, e.Hint, tc.what, tc.hint)
		}
		if tc.name == "xyz" && e.Hint != tc.hint {
			t.Errorf("Find(%q): hint %q suggests names that are nothing like it", tc.name, e.Hint)
		}
		if len(e.Error()) > 300 {
			t.Errorf("Find(%.20q): the error repeats %d bytes", tc.name, len(e.Error()))
		}
	}
}

func TestFindChemical(t *testing.T) {
	for name, want := range map[string]string{
		"agno3": "agno3", "silver nitrate": "agno3", "7761-88-8": "agno3", "Sodium thiosulfate": "hypo",
		"10102-17-7": "hypo", "gelatin": "gelatin", "potassium dichromate": "k2cr2o7",
	} {
		if c, err := FindChemical(name); err != nil || c.ID != want {
			t.Errorf("FindChemical(%q) = %q, %v; want %q", name, c.ID, err, want)
		}
	}
	if _, err := FindChemical("unobtainium"); err == nil {
		t.Error("an unknown chemical was found")
	}
}

// TestEditDistance: the pairs that textbooks give (Levenshtein 1966; kitten to
// sitting is 3, Saturday to Sunday is 3).
func TestEditDistance(t *testing.T) {
	for _, tc := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"saturday", "sunday", 3}, {"", "abc", 3}, {"abc", "abc", 0}} {
		for _, got := range []int{editDistance([]rune(tc.a), []rune(tc.b)), editDistance([]rune(tc.b), []rune(tc.a))} {
			if got != tc.want {
				t.Errorf("%q to %q: %d, want %d", tc.a, tc.b, got, tc.want)
			}
		}
	}
}

func TestIncompatible(t *testing.T) {
	has := func(pairs []Incompatibility, result string) bool {
		return slices.ContainsFunc(pairs, func(p Incompatibility) bool { return strings.Contains(p.Result, result) })
	}
	for _, tc := range []struct {
		ids    []string
		result string
		want   bool
	}{
		{[]string{"ferricyanide"}, "hydrogen cyanide", true}, // heat is everywhere
		{[]string{"hcl"}, "hydrogen cyanide", false},
		{[]string{"agno3"}, "silver oxalate", false},
		{[]string{"agno3", "fe_oxalate"}, "silver oxalate", true},
		{[]string{"k2cr2o7"}, "chlorine", false},
		{[]string{"k2cr2o7", "hcl"}, "chlorine", true},
		{[]string{"citric"}, "chlorine", true}, // household bleach
		{[]string{"hypo", "citric"}, "sulfur dioxide", true},
		{[]string{"hypo", "sulfite"}, "sulfur dioxide", false},
		{[]string{"aucl"}, "fulminating gold", true},
		{[]string{"gelatin", "gum_arabic"}, "", false},
	} {
		pairs, err := Incompatible(tc.ids...)
		if err != nil {
			t.Fatal(err)
		}
		if got := has(pairs, tc.result); got != tc.want {
			t.Errorf("%v: %q is %t, want %t", tc.ids, tc.result, got, tc.want)
		}
	}
	if _, err := Incompatible("agno3", "mystery powder"); err == nil {
		t.Error("an unknown chemical passed as harmless")
	}
}

// TestIncompatibleGrows: adding a chemical never hides a danger.
func TestIncompatibleGrows(t *testing.T) {
	for _, c := range Cards() {
		few, err := Incompatible(c.ChemicalIDs(false)...)
		if err != nil {
			t.Fatal(err)
		}
		all := c.Incompatible()
		for _, pair := range few {
			if !slices.ContainsFunc(all, func(p Incompatibility) bool { return p.String() == pair.String() }) {
				t.Errorf("%s: %s is lost when optional chemicals are added", c.ID, pair)
			}
		}
		order := map[Level]int{Stop: 0, Warn: 1, Note: 2}
		if !slices.IsSortedFunc(all, func(a, b Incompatibility) int { return order[a.Level] - order[b.Level] }) {
			t.Errorf("%s: stops do not come first", c.ID)
		}
	}
}

func FuzzFind(f *testing.F) {
	for _, seed := range []string{"cyanotype", "Van Dyke", "", "\xff\xfe", "pt/pd", "ÄÖ ÿ", strings.Repeat("gum", 50)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, name string) {
		c, err := Find(name)
		var e *fault.Error
		if err != nil && (!errors.As(err, &e) || e.Hint == "") {
			t.Errorf("Find(%q): %v is no *fault.Error with a hint", name, err)
		}
		if err == nil && !slices.Contains(wantIDs, c.ID) {
			t.Errorf("Find(%q) gave %q", name, c.ID)
		}
	})
}
