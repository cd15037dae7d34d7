package output

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"actinic/process/fault"
)

// present returns the names in a folder.
func present(t *testing.T, folder string) string {
	t.Helper()
	list, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range list {
		names = append(names, e.Name())
	}
	return strings.Join(names, " ")
}

func put(t *testing.T, path, text string) string {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// start creates an output and writes text to it.
func start(t *testing.T, path, text string, o Options) *File {
	t.Helper()
	f, err := Create(path, o)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(f, text); err != nil {
		t.Fatal(err)
	}
	return f
}

func TestCommitGivesTheNameAndNothingElse(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.tif")
	f := start(t, path, "hello", Options{})
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the name is taken before Commit")
	}
	if _, err := f.WriteAt([]byte("J"), 0); err != nil {
		t.Fatal(err)
	}
	if at, err := f.Seek(-1, io.SeekCurrent); at != 4 || err != nil {
		t.Fatalf("at %d, %v", at, err)
	}
	if _, err := f.Write([]byte("y!")); err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	f.Abort() // nothing happens
	if err := f.Commit(); err != nil {
		t.Errorf("a second Commit: %v", err)
	}
	if got := content(t, path); got != "Jelly!" {
		t.Errorf("content %q", got)
	}
	if got := present(t, dir); got != "x.tif" {
		t.Errorf("in the folder: %s", got)
	}
}

func TestPermissionsAreThoseOfOrdinaryFiles(t *testing.T) {
	dir := t.TempDir()
	want, err := os.Stat(put(t, filepath.Join(dir, "plain"), ""))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "x")
	if err := start(t, path, "x", Options{}).Commit(); err != nil {
		t.Fatal(err)
	}
	if got, err := os.Stat(path); err != nil || got.Mode() != want.Mode() {
		t.Errorf("mode %v, want %v", got.Mode(), want.Mode())
	}
}

func TestAbortLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	f := start(t, filepath.Join(dir, "x"), "hello", Options{})
	f.Abort()
	f.Abort()
	if got := present(t, dir); got != "" {
		t.Errorf("in the folder: %s", got)
	}
}

func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	old := put(t, filepath.Join(dir, "old"), "old")
	hard, soft := filepath.Join(dir, "hard"), filepath.Join(dir, "soft")
	dangling := filepath.Join(dir, "dangling")
	for _, err := range []error{os.Link(old, hard), os.Symlink(old, soft), os.Symlink(filepath.Join(dir, "gone"), dangling)} {
		if err != nil {
			t.Skipf("no links here: %v", err)
		}
	}
	before := present(t, dir)
	for _, c := range []struct {
		name, path string
		o          Options
		what, hint string
	}{
		{"no name", "", Options{}, "no name", "file name"},
		{"exists", old, Options{}, "exists already", "--force"},
		{"exists behind a link", soft, Options{}, "exists already", "--force"},
		{"input", old, Options{Force: true, Inputs: []string{"no such", old}}, "is an input", "-o"},
		{"input by another spelling", old, Options{Force: true, Inputs: []string{filepath.Join(dir, ".", "sub", "..", "old")}}, "is an input", "-o"},
		{"input by a hard link", hard, Options{Force: true, Inputs: []string{old}}, "same file as the input", "-o"},
		{"input by a symbolic link", soft, Options{Force: true, Inputs: []string{old}}, "same file as the input", "-o"},
		{"output of a linked input", old, Options{Force: true, Inputs: []string{soft}}, "same file as the input", "-o"},
		{"folder", dir, Options{Force: true}, "is a folder", "inside the folder"},
		{"link to nothing", dangling, Options{Force: true}, "leads nowhere", "remove the link"},
		{"no folder", filepath.Join(dir, "none", "x"), Options{}, "does not exist", "make the folder"},
		{"file as folder", filepath.Join(old, "x"), Options{}, "", "another"},
		{"device", os.DevNull, Options{Force: true}, "not an ordinary file", "disk"},
	} {
		if c.name == "device" && runtime.GOOS == "windows" {
			continue
		}
		_, err := Create(c.path, c.o)
		var e *fault.Error
		if !errors.As(err, &e) {
			t.Errorf("%s: %v, want a *fault.Error", c.name, err)
			continue
		}
		if e.File != c.path || !strings.Contains(e.What, c.what) || !strings.Contains(e.Hint, c.hint) {
			t.Errorf("%s: file %q, what %q, hint %q", c.name, e.File, e.What, e.Hint)
		}
	}
	if got := present(t, dir); got != before {
		t.Errorf("in the folder: %s, before: %s", got, before)
	}
	if got := content(t, old); got != "old" {
		t.Errorf("the old file now has %q", got)
	}
}

func TestForceReplacesAtCommitOnly(t *testing.T) {
	dir := t.TempDir()
	path := put(t, filepath.Join(dir, "x"), "old")
	other := put(t, filepath.Join(dir, "in"), "in")
	o := Options{Force: true, Inputs: []string{other}}
	start(t, path, "new", o).Abort()
	f := start(t, path, "new", o)
	if got := content(t, path); got != "old" {
		t.Errorf("before Commit: %q", got)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	if got := content(t, path); got != "new" {
		t.Errorf("after Commit: %q", got)
	}
}

func TestForceKeepsASymbolicLink(t *testing.T) {
	dir := t.TempDir()
	path, link := put(t, filepath.Join(dir, "x"), "old"), filepath.Join(dir, "link")
	if err := os.Symlink("x", link); err != nil {
		t.Skipf("no links here: %v", err)
	}
	if err := start(t, link, "new", Options{Force: true}).Commit(); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
	if got := content(t, path); got != "new" {
		t.Errorf("content %q", got)
	}
}

func TestAFileThatAppearsMeanwhileIsKept(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x")
	f := start(t, path, "ours", Options{})
	put(t, path, "theirs")
	err := f.Commit()
	var e *fault.Error
	if !errors.As(err, &e) || !errors.Is(err, fs.ErrExist) || !strings.Contains(e.Hint, "--force") {
		t.Errorf("Commit: %v", err)
	}
	if got := content(t, path); got != "theirs" {
		t.Errorf("content %q", got)
	}
	if got := present(t, dir); got != "x" {
		t.Errorf("in the folder: %s", got)
	}
}

// One of many that race for a name gets it, with and without hard links.
func TestOneOfManyWins(t *testing.T) {
	for name, take := range map[string]func(temp, target string) error{
		"link":    func(temp, target string) error { return place(temp, target, false) },
		"reserve": reserve,
	} {
		dir := t.TempDir()
		target := filepath.Join(dir, "x")
		var won sync.Map
		var group sync.WaitGroup
		for _, id := range strings.Split("abcdefgh", "") {
			temp := put(t, filepath.Join(dir, id), id)
			group.Go(func() {
				switch err := take(temp, target); {
				case err == nil:
					won.Store(id, true)
				case !errors.Is(err, fs.ErrExist):
					t.Errorf("%s: %v", name, err)
				}
			})
		}
		group.Wait()
		winners := ""
		won.Range(func(id, _ any) bool { winners += id.(string); return true })
		if winners != content(t, target) {
			t.Errorf("%s: %q think they won; the file is of %q", name, winners, content(t, target))
		}
	}
}

func TestWriteErrorsNameTheOutput(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	f := start(t, path, "x", Options{})
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	_, err := f.Write([]byte("late"))
	var e *fault.Error
	if !errors.As(err, &e) || e.File != path || e.Hint == "" || strings.Contains(e.What, ".tmp") {
		t.Errorf("%v", err)
	}
}
