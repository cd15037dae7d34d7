package main

import (
	"image"
	_ "image/jpeg"
	_ "image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	_ "golang.org/x/image/tiff"
)

// TestPhotosAreDocumented holds testdata/photos to what testdata/README.md
// promises: each picture decodes, is under 1 MB, and has its origin and its
// licence stated.
func TestPhotosAreDocumented(t *testing.T) {
	readme, err := os.ReadFile("../../testdata/README.md")
	if err != nil {
		t.Fatal(err)
	}
	photos, err := filepath.Glob("../../testdata/photos/*")
	photos = slices.DeleteFunc(photos, func(name string) bool { return filepath.Ext(name) == ".go" })
	if err != nil || len(photos) < 2 {
		t.Fatalf("found %d photographs, %v; want at least two", len(photos), err)
	}
	for _, name := range photos {
		if strings.Count(string(readme), filepath.Base(name)) < 3 {
			t.Errorf("testdata/README.md does not give content, origin and making of %s", filepath.Base(name))
		}
		checkPhoto(t, name)
	}
}

func checkPhoto(t *testing.T, name string) {
	t.Helper()
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() >= 1_000_000 {
		t.Errorf("%s has %d bytes, want less than 1 MB", name, info.Size())
	}
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, _, err := image.Decode(f); err != nil {
		t.Errorf("%s: %v", name, err)
	}
}
