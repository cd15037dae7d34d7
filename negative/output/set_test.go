package output

import (
	"errors"
	"io"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// fill creates the outputs of a set, each with its own name inside.
func fill(t *testing.T, s *Set, dir string, names ...string) {
	t.Helper()
	for _, n := range names {
		f, err := s.Create(filepath.Join(dir, n))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(f, n); err != nil {
			t.Fatal(err)
		}
	}
}

func TestSetAppearsTogether(t *testing.T) {
	dir := t.TempDir()
	s := NewSet(Options{})
	fill(t, s, dir, "a", "b", "c")
	for _, n := range strings.Fields(present(t, dir)) {
		if !strings.HasPrefix(n, ".actinic-") {
			t.Errorf("%s is there before Commit", n)
		}
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	s.Abort()
	if got := present(t, dir); got != "a b c" {
		t.Errorf("in the folder: %s", got)
	}
	if got := content(t, filepath.Join(dir, "b")); got != "b" {
		t.Errorf("content %q", got)
	}
}

func TestSetAbortLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	s := NewSet(Options{})
	fill(t, s, dir, "a", "b")
	s.Abort()
	if got := present(t, dir); got != "" {
		t.Errorf("in the folder: %s", got)
	}
}

func TestSetTakesNamesBackWhenOneIsTaken(t *testing.T) {
	dir := t.TempDir()
	s := NewSet(Options{})
	fill(t, s, dir, "a", "b", "c")
	put(t, filepath.Join(dir, "b"), "theirs")
	if err := s.Commit(); !errors.Is(err, fs.ErrExist) {
		t.Errorf("Commit: %v", err)
	}
	if got := present(t, dir); got != "b" || content(t, filepath.Join(dir, "b")) != "theirs" {
		t.Errorf("in the folder: %s", got)
	}
}

func TestSetRefusesANameTwice(t *testing.T) {
	dir := t.TempDir()
	s := NewSet(Options{})
	fill(t, s, dir, "a")
	if _, err := s.Create(filepath.Join(dir, "sub", "..", "a")); err == nil {
		t.Error("one output twice was accepted")
	}
	if _, err := s.Create(filepath.Join(dir, "none", "a")); err == nil {
		t.Error("a folder that does not exist was accepted")
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	if got := present(t, dir); got != "a" {
		t.Errorf("in the folder: %s", got)
	}
}
