package recipe

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"actinic/process/document"
	"actinic/process/fault"
)

// RecipeFile is the form of a file of recipes: the built-in one and the user's
// own. All but Format, Version and Recipes may be left out; sources, chemicals,
// processes and incompatibilities have the form of the built-in data files, and
// each entry takes the place of the built-in one with its ID.
//
// A source is the key of one on file, or an object {key, kind, citation}. What
// has no source in an own file is shown as from that file.
type RecipeFile struct {
	Format            string            `json:"format"`
	Version           int               `json:"version"`
	Sources           []Source          `json:"sources,omitempty"`
	Chemicals         []Chemical        `json:"chemicals,omitempty"`
	Processes         []Card            `json:"processes,omitempty"`
	Incompatibilities []Incompatibility `json:"incompatibilities,omitempty"`
	Recipes           []Recipe          `json:"recipes"`
}

var recipeForm = document.Form{
	Format: "actinic recipes", Version: 1, Noun: "a file of recipes",
	Command: "actinic coat --write-recipe", File: "FILE.json", MostMiB: 1,
}

const recipeHint = "'actinic coat --process P --write-recipe FILE.json' writes a recipe in the right form to start from"

// Book holds the recipes, processes and chemicals that plans are made from.
type Book struct{ lib *library }

// BuiltIn returns the book of what comes with the program.
func BuiltIn() *Book { return &Book{data()} }

// ReadBook reads the user's own file of recipes and returns a book of it and
// what is built in; own recipes come first. name is the file's, for messages.
// Errors are *fault.Error, and say where in the file.
func ReadBook(r io.Reader, name string) (*Book, error) {
	var f RecipeFile
	if err := recipeForm.Decode(r, name, &f); err != nil {
		return nil, withRecipeHint(err)
	}
	if len(f.Recipes) == 0 {
		return nil, fault.New(name, "field recipes", "holds no recipe, expected at least one", recipeHint)
	}
	if err := f.checkPlaces(name); err != nil {
		return nil, err
	}
	lib, err := data().with(f, name)
	if err != nil {
		return nil, fault.New(name, "", err.Error(), recipeHint)
	}
	return &Book{lib}, nil
}

func withRecipeHint(err error) error {
	var e *fault.Error
	if !errors.As(err, &e) {
		return err
	}
	c := *e
	c.Hint = recipeHint
	return &c
}

// checkPlaces checks the recipes one by one, so that a fault names its place.
func (f *RecipeFile) checkPlaces(name string) error {
	seen := map[string]bool{}
	for i := range f.Recipes {
		r := &f.Recipes[i]
		place := fmt.Sprintf("recipe %d", i+1)
		if r.ID != "" {
			place += " (" + quote(r.ID) + ")"
		}
		w := r.check()
		if w == nil && seen[plain(r.ID)] {
			w = &misfit{"id", "stands twice in this file", "a name of its own"}
		}
		if w != nil {
			return fault.New(name, place+w.at(), w.What+"; expected "+w.Want, recipeHint)
		}
		seen[plain(r.ID)] = true
	}
	return nil
}

// with returns lib and what the file adds to it. lib is not changed.
func (lib *library) with(f RecipeFile, name string) (*library, error) {
	own := Source{Key: "own_file", Kind: Own, Citation: name}
	for i := range f.Recipes {
		f.Recipes[i].fillLists()
	}
	more := &library{cards: f.Processes, chemicals: f.Chemicals, incompatible: f.Incompatibilities, recipes: f.Recipes}
	for _, c := range more.citations() {
		if len(*c.sources) == 0 {
			*c.sources = []Source{own}
		}
	}
	known := lib.knownWith(own, f.Sources)
	more.keepFullSources(&known)
	if err := checkSources(known); err != nil {
		return nil, err
	}
	if err := more.resolveSources(known); err != nil {
		return nil, err
	}
	joined := *lib
	joined.sources = more.sources
	joined.cards = replaced(lib.cards, more.cards, func(c Card) string { return c.ID })
	joined.chemicals = replaced(lib.chemicals, more.chemicals, func(c Chemical) string { return c.ID })
	joined.incompatible = append(slices.Clone(more.incompatible), lib.incompatible...)
	for i := range more.recipes {
		more.recipes[i].eachIngredient(func(c *Ingredient) { c.Chemical = joined.chemicalID(c.Chemical) })
	}
	joined.recipes = replaced(lib.recipes, more.recipes, func(r Recipe) string { return r.ID })
	slices.SortStableFunc(joined.cards, func(a, b Card) int { return strings.Compare(a.ID, b.ID) })
	joined.complete()
	return &joined, joined.validate()
}

// knownWith returns the sources of an own file, and those on file that it does
// not replace.
func (lib *library) knownWith(own Source, more []Source) []Source {
	known := append([]Source{own}, more...)
	have := map[string]bool{}
	for _, s := range known {
		have[s.Key] = true
	}
	for key, s := range lib.sources {
		if !have[key] {
			known = append(known, s)
		}
	}
	return known
}

// fillLists makes empty lists of those that the file leaves out, so that JSON
// has no null for them.
func (r *Recipe) fillLists() {
	if r.Notes == nil {
		r.Notes = []Statement{}
	}
	fill := func(list []Solution) {
		for i := range list {
			if list[i].Contents == nil {
				list[i].Contents = []Ingredient{}
			}
		}
	}
	for i := range r.Layers {
		fill(r.Layers[i].Solutions)
	}
	fill(r.Baths)
}

// eachIngredient hands every ingredient of the recipe to do.
func (r *Recipe) eachIngredient(do func(*Ingredient)) {
	all := func(list []Solution) {
		for i := range list {
			for j := range list[i].Contents {
				do(&list[i].Contents[j])
			}
		}
	}
	for i := range r.Layers {
		all(r.Layers[i].Solutions)
	}
	all(r.Baths)
}

// chemicalID returns the ID of the chemical with exactly this ID, name or CAS
// number, else name as it is.
func (lib *library) chemicalID(name string) string {
	for _, c := range lib.chemicals {
		names := []string{c.ID, c.Name}
		for _, n := range c.CAS {
			names = append(names, n.Number)
		}
		if slices.ContainsFunc(names, func(n string) bool { return plain(n) == plain(name) }) {
			return c.ID
		}
	}
	return name
}

// keepFullSources adds the sources that stand in full where they are cited.
func (lib *library) keepFullSources(known *[]Source) {
	have := map[string]bool{}
	for _, s := range *known {
		have[s.Key] = true
	}
	for _, c := range lib.citations() {
		for _, s := range *c.sources {
			if s.Citation != "" && !have[s.Key] {
				have[s.Key] = true
				*known = append(*known, s)
			}
		}
	}
}

func checkSources(list []Source) error {
	for _, s := range list {
		kinds := []Kind{Published, Practitioner, Memory, Own}
		if s.Key == "" || s.Citation == "" || !slices.Contains(kinds, s.Kind) {
			return fmt.Errorf("source %s: has no key, no citation or an unknown kind; expected a kind of published, practitioner, memory or own", quote(s.Key))
		}
	}
	return nil
}

// replaced returns more, then those of all whose ID is not among them.
func replaced[T any](all, more []T, id func(T) string) []T {
	list := slices.Clone(more)
	for _, x := range all {
		if !slices.ContainsFunc(more, func(m T) bool { return id(m) == id(x) }) {
			list = append(list, x)
		}
	}
	return list
}

// Recipe returns the recipe with an ID for a process, or the usual one for "".
// Its errors are *fault.Error, as those of Coat.
func (b *Book) Recipe(process, id string) (Recipe, error) {
	j, err := b.lib.coatJob(CoatPlan{Process: process, Recipe: id})
	if err != nil {
		return Recipe{}, err
	}
	return j.recipe, nil
}

// WriteRecipes writes recipes in the form that ReadBook reads. Sources on file
// are written by their key.
func WriteRecipes(w io.Writer, list ...Recipe) error {
	text, err := plainJSON(RecipeFile{Format: recipeForm.Format, Version: recipeForm.Version, Recipes: list})
	if err != nil {
		return err
	}
	for _, s := range data().sources {
		whole, err := plainJSON(s)
		if err != nil {
			return err
		}
		text = bytes.ReplaceAll(text, whole, fmt.Appendf(nil, "%q", s.Key))
	}
	var out bytes.Buffer
	if err := json.Indent(&out, text, "", "  "); err != nil {
		return err
	}
	out.WriteByte('\n')
	_, err = out.WriteTo(w)
	return err
}

// plainJSON returns v in JSON on one line, with < and & as they are.
func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSpace(b.Bytes()), err
}
