package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"actinic/process/fault"
)

// The SHA-256 of "abc" is that of FIPS 180-4's example (appendix B.1 of FIPS
// 180-2).
func TestSealTellsTheContent(t *testing.T) {
	dir := t.TempDir()
	f := start(t, filepath.Join(dir, "x"), "xbc", Options{})
	if _, err := f.WriteAt([]byte("a"), 0); err != nil {
		t.Fatal(err)
	}
	s, err := f.Seal()
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprintf("%x", s.SHA256); s.Bytes != 3 || got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("%d bytes, %s", s.Bytes, got)
	}
	if _, err := os.Stat(filepath.Join(dir, "x")); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the name is taken before Commit")
	}
	if _, err := f.Write([]byte("late")); err == nil {
		t.Error("a sealed file was written to")
	}
	if err := f.Commit(); err != nil || content(t, filepath.Join(dir, "x")) != "abc" || present(t, dir) != "x" {
		t.Errorf("%v; %s", err, present(t, dir))
	}
}

func TestAbortOfASealedFile(t *testing.T) {
	dir := t.TempDir()
	f := start(t, filepath.Join(dir, "x"), "abc", Options{})
	if _, err := f.Seal(); err != nil {
		t.Fatal(err)
	}
	f.Abort()
	if got := present(t, dir); got != "" {
		t.Errorf("left: %s", got)
	}
}

// What cannot be brought to the disk is an error of Seal and Commit, and leaves
// nothing.
func TestDiskErrorsAtTheEnd(t *testing.T) {
	for name, end := range map[string]func(*File) error{
		"Seal":   func(f *File) error { _, err := f.Seal(); return err },
		"Commit": (*File).Commit,
	} {
		dir := t.TempDir()
		f := start(t, filepath.Join(dir, "x"), "abc", Options{})
		f.f.Close() // so that the system has an error to tell
		err := end(f)
		var e *fault.Error
		if !errors.As(err, &e) || e.File != filepath.Join(dir, "x") || e.Hint == "" {
			t.Errorf("%s: %v", name, err)
		}
		if got := present(t, dir); got != "" {
			t.Errorf("%s left %s", name, got)
		}
	}
}

// A full disk is named, with what to do, and nothing is left of the file: here
// the process may write no more than some blocks to a file.
func TestAFullDisk(t *testing.T) {
	if path := os.Getenv("ACTINIC_TEST_FULL"); path != "" {
		f, err := Create(path, Options{})
		for err == nil {
			_, err = f.Write(make([]byte, 4096))
		}
		f.Abort()
		var e *fault.Error
		fmt.Println(err, errors.As(err, &e) && e.Hint != "")
		return
	}
	if runtime.GOOS == "windows" {
		t.Skip("no limits of this kind here")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "x")
	c := exec.Command("sh", "-c", `ulimit -f 16; exec "$0" -test.run='^TestAFullDisk$'`, os.Args[0])
	c.Env = append(os.Environ(), "ACTINIC_TEST_FULL="+path)
	out, err := c.CombinedOutput()
	if err != nil || !strings.HasPrefix(string(out), path+": cannot be written: file too large true") {
		t.Errorf("%v: %s", err, out)
	}
	if got := present(t, dir); got != "" {
		t.Errorf("left: %s", got)
	}
}

// A real device that is always full says so (full(4) of the Linux manual).
func TestADeviceThatIsFull(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skipf("no such device here: %v", err)
	}
	defer full.Close()
	f := start(t, filepath.Join(t.TempDir(), "x"), "", Options{})
	defer f.Abort()
	own := f.f.File
	defer own.Close()
	f.f.File = full
	_, err = f.Write([]byte("x"))
	var e *fault.Error
	if !errors.As(err, &e) || !strings.Contains(e.What, "no space left") || !strings.Contains(e.Hint, "make room") {
		t.Errorf("%v", err)
	}
}

// A guard knows inputs under all their names, as Options.Inputs does.
func TestGuard(t *testing.T) {
	dir := t.TempDir()
	in, soft, other := put(t, filepath.Join(dir, "in"), "in"), filepath.Join(dir, "soft"), put(t, filepath.Join(dir, "other"), "")
	hard := filepath.Join(dir, "hard")
	for _, err := range []error{os.Link(in, hard), os.Symlink(in, soft)} {
		if err != nil {
			t.Skipf("no links here: %v", err)
		}
	}
	o := Options{Force: true, Guard: NewGuard([]string{"no such", in})}
	for _, path := range []string{in, hard, soft} {
		_, err := Create(path, o)
		var e *fault.Error
		if !errors.As(err, &e) || !strings.Contains(e.What, "input") {
			t.Errorf("%s: %v", path, err)
		}
	}
	f, err := Create(other, o)
	if err != nil {
		t.Fatal(err)
	}
	f.Abort()
}
