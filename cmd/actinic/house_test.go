package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The house rules: which room may import which, and what stands at the top of
// the tree. They are stated as functions over plain lists, so that the tests
// below can show each rule a tree that breaks it.

// module is the module path, the first element of every import of our own.
const module = "actinic"

// source is one Go file: where it lies and what it imports.
type source struct {
	path    string // from the top of the tree, with slashes
	imports []string
}

// importBreaches returns one line for each import that the house forbids.
func importBreaches(tree []source) []string {
	var breaches []string
	for _, file := range tree {
		for _, imported := range file.imports {
			if rule := brokenRule(file.path, imported); rule != "" {
				breaches = append(breaches, file.path+" imports "+imported+": "+rule)
			}
		}
	}
	return breaches
}

// brokenRule returns the rule that the import breaks, or "".
func brokenRule(file, imported string) string {
	room := path.Dir(file)
	switch {
	case within(room, "process") && isOurs(imported, "negative", "cmd"):
		return "process imports neither negative nor cmd"
	case within(room, "process") && isImagePackage(imported):
		return "process knows no images"
	case within(room, "negative") && isOurs(imported, "cmd"):
		return "negative does not import cmd"
	case within(room, "negative/darkroom") && !strings.HasSuffix(file, "_test.go") && !darkroomMay(imported):
		return "the darkroom shares no formulas with what it tests"
	case isOurs(imported, "testdata/vectors", "testdata/outside") && !strings.HasSuffix(file, "_test.go"):
		return "only tests import what serves the tests"
	}
	return ""
}

func within(path, folder string) bool {
	return path == folder || strings.HasPrefix(path, folder+"/")
}

// isOurs reports whether imported is a package of this module in one of rooms.
func isOurs(imported string, rooms ...string) bool {
	return slices.ContainsFunc(rooms, func(room string) bool { return within(imported, module+"/"+room) })
}

// isImagePackage reports whether the import path belongs to the image packages
// of the standard library or to an imaging library.
func isImagePackage(imported string) bool {
	libraries := []string{
		"image", "golang.org/x/image", "github.com/disintegration/imaging",
		"github.com/kovidgoyal/imaging", "github.com/jung-kurt/gofpdf", "gonum.org/v1/plot",
	}
	return slices.ContainsFunc(libraries, func(l string) bool { return within(imported, l) })
}

// darkroomMay reports whether the virtual darkroom may import a package: the
// standard library, and the rooms that carry no model of a print.
func darkroomMay(imported string) bool {
	if isStandard(imported) || within(imported, module+"/negative/darkroom") {
		return true
	}
	return isOurs(imported, "process/density", "negative/raster", "negative/chart")
}

// isStandard reports whether imported belongs to the standard library: its
// first element has no dot and is not this module.
func isStandard(imported string) bool {
	first, _, _ := strings.Cut(imported, "/")
	return first != module && !strings.Contains(first, ".")
}

// strangers returns the entries at the top of the tree that have no place
// there. ignored are the patterns of .gitignore: what a run or a build leaves.
func strangers(entries, ignored []string) []string {
	allowed := []string{
		"cmd", "negative", "process", "testdata", "examples",
		"go.mod", "go.sum", "README.md", "DEVELOPERS.md",
	}
	var found []string
	for _, name := range entries {
		known := slices.Contains(allowed, name) || strings.HasPrefix(name, ".")
		if !known && !slices.ContainsFunc(ignored, func(p string) bool { return matches(p, name) }) {
			found = append(found, name)
		}
	}
	return found
}

// matches reports whether a .gitignore pattern covers an entry at the top.
func matches(pattern, name string) bool {
	ok, err := path.Match(strings.Trim(pattern, "/"), name)
	return err == nil && ok
}

func TestHouseImports(t *testing.T) {
	tree := readTree(t, "../..")
	if len(tree) < 20 {
		t.Fatalf("found only %d Go files: the walk is wrong", len(tree))
	}
	for _, breach := range importBreaches(tree) {
		t.Error(breach)
	}
}

func TestHouseTopLevel(t *testing.T) {
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	text, err := os.ReadFile("../../.gitignore")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range strangers(names, strings.Fields(string(text))) {
		t.Errorf("%s has no place at the top of the tree", name)
	}
}

// TestHouseRulesCanFail shows the rules trees that break them, one rule each.
func TestHouseRulesCanFail(t *testing.T) {
	tests := []struct {
		file, imported string
		breach         bool
	}{
		{"process/recipe/a.go", "actinic/negative/raster", true},
		{"process/recipe/a_test.go", "actinic/negative/raster", true},
		{"process/recipe/a.go", "actinic/cmd/actinic", true},
		{"process/internal/x/a.go", "image", true},
		{"process/recipe/a.go", "image/png", true},
		{"process/recipe/a.go", "golang.org/x/image/tiff", true},
		{"process/recipe/a.go", "github.com/disintegration/imaging", true},
		{"process/recipe/a.go", "gonum.org/v1/plot/plotter", true},
		{"negative/tone/a.go", "actinic/cmd/actinic", true},
		{"negative/darkroom/a.go", "actinic/process/calibration", true},
		{"negative/darkroom/a.go", "gonum.org/v1/gonum/optimize", true},
		{"process/recipe/a.go", "actinic/testdata/vectors", true},
		{"cmd/actinic/a.go", "actinic/testdata/outside", true},

		{"process/recipe/a.go", "actinic/process/density", false},
		{"process/recipe/a.go", "gonum.org/v1/gonum/mat", false},
		{"process/recipe/a.go", "imagery.example/x", false},
		{"negative/tone/a.go", "image/png", false},
		{"negative/tone/a.go", "actinic/process/calibration", false},
		{"negative/darkroom/a.go", "math/rand/v2", false},
		{"negative/darkroom/a.go", "actinic/process/density", false},
		{"negative/darkroom/a_test.go", "actinic/process/calibration", false},
		{"cmd/actinic/a.go", "actinic/negative/tone", false},
		{"cmd/actinic/a.go", "actinic/testdata/photos", false},
		{"process/recipe/a_test.go", "actinic/testdata/vectors", false},
		{"negative/sheet/a_test.go", "actinic/testdata/outside", false},
	}
	for _, test := range tests {
		got := importBreaches([]source{{test.file, []string{"fmt", test.imported}}})
		if (len(got) > 0) != test.breach {
			t.Errorf("%s importing %s: breaches %q, want a breach: %v", test.file, test.imported, got, test.breach)
		}
	}
	got := strangers([]string{"cmd", "util", ".ci", "out", "x.test", "README.md", "NOTES.md"}, []string{"/out/", "*.test"})
	if want := []string{"util", "NOTES.md"}; !slices.Equal(got, want) {
		t.Errorf("strangers = %q, want %q", got, want)
	}
}

// readTree parses the imports of every Go file below root, whatever its build
// tags, in every folder that the go command would look into.
func readTree(t *testing.T, root string) []source {
	t.Helper()
	var tree []source
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && name != root && notForGo(entry.Name()) {
			return filepath.SkipDir
		}
		if entry.IsDir() || filepath.Ext(name) != ".go" {
			return nil
		}
		file, err := readSource(root, name)
		tree = append(tree, file)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

func notForGo(folder string) bool {
	return folder == "testdata" || strings.HasPrefix(folder, ".") || strings.HasPrefix(folder, "_")
}

func readSource(root, name string) (source, error) {
	parsed, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
	if err != nil {
		return source{}, err
	}
	relative, err := filepath.Rel(root, name)
	file := source{path: filepath.ToSlash(relative)}
	for _, spec := range parsed.Imports {
		imported, unquoteErr := strconv.Unquote(spec.Path.Value)
		if unquoteErr != nil {
			return source{}, unquoteErr
		}
		file.imports = append(file.imports, imported)
	}
	return file, err
}
