package recipe

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// ownFile is a recipe of the user's own for a process on file.
const ownFile = `{
  "format": "actinic recipes",
  "version": 1,
  "sources": [{"key": "notebook", "kind": "own", "citation": "my notebook, page 12"}],
  "recipes": [
    {
      "id": "my_iron",
      "process": "kallitype",
      "name": "weaker iron",
      "layers": [
        {
          "name": "sensitiser",
          "solutions": [
            {"name": "iron", "parts": 2, "contents": [{"chemical": "fe_oxalate", "grams_per_100ml": 15, "sources": ["notebook"]}]},
            {"name": "silver", "parts": 1, "contents": [{"chemical": "agno3", "grams_per_100ml": 10, "formula": "AgNO3"}]}
          ]
        }
      ],
      "settings": [{"name": "hard", "parts": {"iron": 1}}]
    }
  ]
}`

func readBook(t testing.TB, text string) *Book {
	t.Helper()
	b, err := ReadBook(strings.NewReader(text), "own.json")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestOwnRecipe(t *testing.T) {
	p := plan8x10("kallitype")
	p.Book = readBook(t, ownFile)
	c := coated(t, p)
	if c.Recipe.ID != "my_iron" || c.Lines[0].MLPerPrint != 2*c.Lines[1].MLPerPrint {
		t.Fatalf("%s, %+v", c.Recipe.ID, c.Lines)
	}
	labels := map[string]bool{}
	for _, s := range c.Sources {
		labels[s.FullLabel()] = true
	}
	if !labels["your file: own.json"] || !labels["your file: my notebook, page 12"] {
		t.Errorf("sources %v, want the file and the notebook", labels)
	}
	p.Contrast = "hard"
	if c := coated(t, p); c.Lines[0].MLPerPrint != c.Lines[1].MLPerPrint {
		t.Errorf("the setting has no effect: %+v", c.Lines)
	}
	p.Contrast, p.Recipe = "", "kallitype"
	if c := coated(t, p); c.Recipe.ID != "kallitype" {
		t.Errorf("the built-in recipe is gone: %s", c.Recipe.ID)
	}
	if got := coated(t, plan8x10("kallitype")).Recipe.ID; got != "kallitype" {
		t.Errorf("an own file changed what is built in: %s", got)
	}
}

// TestOwnProcess: a name without a card will do, with its coating, and so will a
// whole card; unknown substances are named as unknown.
func TestOwnProcess(t *testing.T) {
	text := strings.NewReplacer(`"process": "kallitype"`, `"process": "berry_blue", "coating_ml_8x10in": {"value": 3}`,
		`"chemical": "fe_oxalate"`, `"name": "Berry salt"`).Replace(ownFile)
	p := plan8x10("Berry Blue")
	p.Book = readBook(t, text)
	c := coated(t, p)
	within(t, "coating", c.Layers[0].MLPerPrint, 3, 1e-9)
	if c.ProcessName != "berry_blue" || len(c.NotOnFile) != 1 || c.NotOnFile[0] != "Berry salt" || !strings.Contains(c.Cautions[0], "UV harms") {
		t.Errorf("%q, not on file %q, cautions %q", c.ProcessName, c.NotOnFile, c.Cautions)
	}

	var gum bytes.Buffer
	text2, err := embedded.ReadFile("data/processes/gum.json")
	if err != nil {
		t.Fatal(err)
	}
	gum.Write(text2)
	card := strings.NewReplacer(`"id": "gum"`, `"id": "glue"`, `"Gum dichromate"`, `"Glue"`, `"full_name": "Gum dichromate"`, `"full_name": "Fish glue"`,
		`"gum bichromate"`, `"fish glue print"`, `"gum print"`, `"glue print"`).Replace(gum.String())
	text3 := strings.Replace(strings.Replace(ownFile, `"process": "kallitype"`, `"process": "glue"`, 1), `"recipes"`, `"processes": [`+card+`], "recipes"`, 1)
	p.Process, p.Book = "glue", readBook(t, text3)
	if c := coated(t, p); c.ProcessName != "Glue" || math.Abs(c.Layers[0].MLPerPrint-3.2) > 1e-9 {
		t.Errorf("own card: %q, %g ml", c.ProcessName, c.Layers[0].MLPerPrint)
	}
	if _, err := Find("glue"); err == nil {
		t.Error("an own process is there for everybody")
	}
}

// TestOwnChemical takes the place of the one on file, and its dangers count.
func TestOwnChemical(t *testing.T) {
	extra := `"chemicals": [{"id": "berry", "name": "Berry salt", "cas": [{"number": "50-00-0"}], "signal_word": "Danger",
	  "pictograms": ["GHS06"], "statements": ["H301"], "protection": ["gloves"], "disposal": "collect", "sources": []}],
	 "incompatibilities": [{"a": {"text": "berry salt", "ids": ["berry"]}, "b": {"text": "silver", "ids": ["agno3"]}, "result": "a blue mess", "level": "stop", "sources": []}],
	 "recipes"`
	text := strings.NewReplacer(`"recipes"`, extra, `"fe_oxalate"`, `"berry"`).Replace(strings.Replace(ownFile, `actinic recipes`, `actinic_recipes`, 1))
	p := plan8x10("kallitype")
	p.Book = readBook(t, strings.Replace(text, `actinic_recipes`, `actinic recipes`, 1))
	c := coated(t, p)
	if c.Incompatible[0].Result != "a blue mess" || c.Hazards[0].Statements[0].Code != "H301" {
		t.Errorf("%+v, %+v", c.Incompatible[0], c.Hazards[0])
	}
}

// TestReadBookRefuses: each fault names the file, the place, what was found and
// what was expected.
func TestReadBookRefuses(t *testing.T) {
	for _, tc := range []struct{ old, new, where, what string }{
		{`"actinic recipes"`, `"recipes"`, "field format", `expected "actinic recipes"`},
		{`"version": 1`, `"version": 2`, "field version", "this program reads 1"},
		{`"parts": 2`, `"part": 2`, "line 14", `unknown field "part"`},
		{`"parts": 2`, `"parts": "two"`, "line 14", "expected a number"},
		{`"parts": 2`, `"parts": -2`, `recipe 1 ("my_iron"), layer 1, solution 1, parts`, "expected 0 to"},
		{`"grams_per_100ml": 15`, `"grams_per_100ml": 1500`, `layer 1, solution 1, content 1, grams_per_100ml`, "at most 200"},
		{`"grams_per_100ml": 15`, `"ml_per_100ml": 150`, `content 1, ml_per_100ml`, "at most 100"},
		{`"grams_per_100ml": 15`, `"grams_per_100ml": 15, "ml_per_100ml": 3`, `content 1`, "2 of"},
		{`"grams_per_100ml": 15`, `"grains_per_oz": 15`, `content 1, ounce`, "imperial"},
		{`"grams_per_100ml": 15`, `"grams_per_100ml": 15, "from_percent": 10`, `content 1, from_percent`, "at least"},
		{`"grams_per_100ml": 15`, `"grams_per_100ml": 15, "usual": {"low": 9, "high": 3}`, `content 1, usual`, "rise"},
		{`"grams_per_100ml": 15, `, ``, `content 1`, "0 of"},
		{`"AgNO3"`, `"AgNO"`, "", ""}, // another salt, but a formula
		{`"AgNO3"`, `"AgQ3"`, `solution 2, content 1, formula`, "is not an element on file"},
		{`"chemical": "agno3"`, `"chemical": "Silver Nitrate"`, "", ""}, // by its name
		{`"chemical": "agno3"`, `"chemical": "7761-88-8"`, "", ""},      // by its CAS number
		{`"chemical": "agno3"`, `"chemical": "silver"`, "", `chemical "silver" is not on file`},
		{`"chemical": "agno3", `, ``, `solution 2, content 1, chemical`, "is missing"},
		{`"name": "silver"`, `"name": "Iron"`, `solution 2, name`, "stands twice"},
		{`"id": "my_iron"`, `"id": " "`, `recipe 1 (" "), id`, "is empty"},
		{`"process": "kallitype"`, `"process": "berry"`, "", "has no card that says how much coats it"},
		{`"process": "kallitype"`, `"process": "polymer_gravure"`, "", "has no card that says how much coats it"},
		{`"process": "kallitype"`, `"process": "k", "coating_ml_8x10in": {"value": 0}`, `coating_ml_8x10in`, "above 0"},
		{`"name": "sensitiser"`, `"name": "sensitiser", "method": "sprayed"`, `layer 1, method`, "floated"},
		{`{"iron": 1}`, `{"gold": 1}`, `setting 1, parts`, "the name of a solution"},
		{`"settings": [`, `"baths": [` + strings.Repeat(`{"name": "b"},`, 41) + `{"name": "c"}], "settings": [`, "baths", "at most 40"},
		{`["notebook"]`, `["diary"]`, "", `source "diary" is not known`},
		{`["notebook"]`, `[{"key": "k", "citation": "c"}]`, "", "published, practitioner, memory or own"},
		{`"kind": "own"`, `"kind": "gossip"`, "", "published, practitioner, memory or own"},
	} {
		text := strings.Replace(ownFile, tc.old, tc.new, 1)
		if text == ownFile {
			t.Fatalf("%q is not in the file", tc.old)
		}
		_, err := ReadBook(strings.NewReader(text), "own.json")
		var e *fault.Error
		if tc.what == "" {
			if err != nil {
				t.Errorf("%s: %v", tc.new, err)
			}
			continue
		}
		if !errors.As(err, &e) || e.File != "own.json" || e.Hint == "" {
			t.Errorf("%s: %v, want a *fault.Error of the file, with a hint", tc.new, err)
			continue
		}
		if !strings.Contains(e.Where, tc.where) || !strings.Contains(e.What, tc.what) {
			t.Errorf("%s: at %q: %q; want at %q: %q", tc.new, e.Where, e.What, tc.where, tc.what)
		}
	}
	for _, bad := range []string{"", "[]", "null", `{"format": "actinic recipes", "version": 1, "recipes": []}`, ownFile + "{}"} {
		if _, err := ReadBook(strings.NewReader(bad), "own.json"); err == nil {
			t.Errorf("%.40q was taken", bad)
		}
	}
}

// TestWrittenRecipeReadsBack: what --write-recipe writes, --recipes reads, and
// the plan is the same.
func TestWrittenRecipeReadsBack(t *testing.T) {
	for _, r := range Recipes() {
		var b bytes.Buffer
		if err := WriteRecipes(&b, r); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(b.String(), `"citation"`) {
			t.Errorf("%s: a source on file is written in full", r.ID)
		}
		book, err := ReadBook(&b, "written.json")
		if err != nil {
			t.Fatalf("%s: %v", r.ID, err)
		}
		p := plan8x10(r.Process)
		p.Recipe = r.ID
		want := coated(t, p)
		p.Book = book
		got := coated(t, p)
		ignore := cmp.Options{cmpopts.IgnoreUnexported(Coating{}, StockWeight{}), cmpopts.EquateEmpty()}
		if diff := cmp.Diff(want, got, ignore); diff != "" {
			t.Errorf("%s (-built in +read):\n%s", r.ID, diff)
		}
	}
}

// FuzzReadBook: whatever a file holds, it is refused with a hint, or every recipe
// in it is worked out and shown.
func FuzzReadBook(f *testing.F) {
	f.Add([]byte(ownFile))
	text, err := embedded.ReadFile("data/recipes.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{"format":"actinic recipes","version":1,"processes":[{"id":"x"}],"recipes":[{}]}`))
	f.Add([]byte(`{"format":"actinic recipes","version":1,"recipes":[{"id":"x","process":"x","name":"x","layers":[{"name":"x","coating_ml_per_m2":{"value":1},"solutions":[{"name":"x","parts":1e-300,"contents":[]}]}]}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		book, err := ReadBook(bytes.NewReader(text), "own.json")
		var e *fault.Error
		if err != nil {
			if !errors.As(err, &e) || e.Hint == "" {
				t.Errorf("%v is no *fault.Error with a hint", err)
			}
			return
		}
		own := book.lib.recipes[:min(3, len(book.lib.recipes))] // own ones come first
		for _, r := range own {
			p := plan8x10(r.Process)
			p.Recipe, p.Book = r.ID, book
			b, err := CoatAll(p)
			if err != nil {
				if !errors.As(err, &e) {
					t.Errorf("%s: %v", r.ID, err)
				}
				continue
			}
			if err := b.Render(&bytes.Buffer{}, 80); err != nil {
				t.Error(err)
			}
		}
	})
}
