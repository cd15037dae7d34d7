package darkroom

import (
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"
)

// The darkroom stands for the world outside: what it shared with the fit, the
// closed-loop figures would not see.
func TestImportsNothingOfTheFit(t *testing.T) {
	allowed := map[string]bool{
		"actinic/process/density": true,
		"actinic/negative/raster": true,
		"actinic/negative/chart":  true,
	}
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	files := 0
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		files++
		for _, path := range importsOf(t, e.Name()) {
			if !allowed[path] && !standardLibrary(path) {
				t.Errorf("%s imports %s", e.Name(), path)
			}
		}
	}
	if files == 0 {
		t.Fatal("no source file found")
	}
}

func importsOf(t *testing.T, name string) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var paths []string
	for _, spec := range file.Imports {
		path, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	return paths
}

// standardLibrary reports whether path is of the standard library: its first
// part has no dot and is not this module.
func standardLibrary(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return first != "actinic" && !strings.Contains(first, ".")
}

func TestStandardLibraryIsTold(t *testing.T) {
	for path, want := range map[string]bool{
		"math/rand/v2": true, "image": true,
		"actinic/process/calibration": false, "gonum.org/v1/gonum/mat": false,
	} {
		if standardLibrary(path) != want {
			t.Errorf("%s: standard library %v, want %v", path, !want, want)
		}
	}
}
