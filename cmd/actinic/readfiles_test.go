package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"actinic/negative/scan"
)

// TestPipeIsText: looking at the head of a pipe would take it from the reader.
func TestPipeIsText(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	if err := exec.Command("mkfifo", pipe).Run(); err != nil {
		t.Skip("no named pipes here:", err)
	}
	text, picture := filepath.Join(dir, "r.csv"), filepath.Join(dir, "scan.tif")
	for name, content := range map[string]string{text: "patch,print_lstar\nA1,50\n", picture: "II*\x00\x08\x00\x00\x00"} {
		if err := os.WriteFile(name, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for name, want := range map[string]bool{pipe: true, text: true, picture: false, filepath.Join(dir, "none"): false} {
		if got, err := fileIsText(name); got != want || err != nil {
			t.Errorf("%s: text %v, %v; want %v", filepath.Base(name), got, err, want)
		}
	}
}

// TestRepeatedFile: a file is the same under whatever name.
func TestRepeatedFile(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, name := range []string{"a", "b"} {
		if err := os.WriteFile(name, []byte(name), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		names []string
		want  string
	}{
		{[]string{"a"}, ""},
		{[]string{"a", "b"}, ""},
		{[]string{"a", "b", "./a"}, "./a"},
		{[]string{"none", "none"}, ""}, // that they are not there is said elsewhere
	} {
		if got := repeatedFile(c.names); got != c.want {
			t.Errorf("%q: %q, want %q", c.names, got, c.want)
		}
	}
}

// TestFlaggedStepIsNamed: a step is called by its number, which says nothing
// without the word.
func TestFlaggedStepIsNamed(t *testing.T) {
	if got := flaggedName(&scan.Reading{ID: "15"}); got != "step 15" {
		t.Errorf("named %q", got)
	}
}
