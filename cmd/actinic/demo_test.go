package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// What 'demo --json' prints has the keys that its help promises. The script
// demo.txtar runs the demo itself.
func TestDemoJSONKeys(t *testing.T) {
	text, err := json.Marshal(demoResult{})
	if err != nil {
		t.Fatal(err)
	}
	var object map[string]any
	if err := json.Unmarshal(text, &object); err != nil {
		t.Fatal(err)
	}
	var got []string
	for key := range object {
		got = append(got, key)
	}
	slices.Sort(got)
	if want := []string{"calibration", "caution", "files", "folder", "ink_colours", "negative", "patches", "report", "second_chart", "virtual_print"}; !slices.Equal(got, want) {
		t.Errorf("keys %q, want %q", got, want)
	}
}

func TestDemoFolder(t *testing.T) {
	a, _, _ := newTestApp(nil)
	dir := t.TempDir()
	if err := a.demoFolder(filepath.Join(dir, "new", "folder")); err != nil {
		t.Errorf("a folder to be made gave %v", err)
	}
	if err := a.demoFolder(filepath.Join(dir, "new", "folder")); err != nil {
		t.Errorf("an empty folder gave %v", err)
	}
	if err := a.demoFolder(dir); !hasHint(err) {
		t.Errorf("a folder with something in it gave %v", err)
	}
	a.global.force = true
	if err := a.demoFolder(dir); err != nil {
		t.Errorf("with --force it gave %v", err)
	}
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := a.demoFolder(file); !hasHint(err) {
		t.Errorf("a file gave %v", err)
	}
}
