package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// program returns the path of actinic as users have it: built by the go command,
// without what tests add. It lies where testscript.Main put this test program,
// and goes when the tests end.
func program(t *testing.T) string {
	t.Helper()
	path, err := builtProgram()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

var builtProgram = sync.OnceValues(func() (string, error) {
	self, err := exec.LookPath("actinic")
	if err != nil {
		return "", err
	}
	path := filepath.Join(filepath.Dir(self), "whole-actinic")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		err = errors.New(string(out))
	}
	return path, err
})

// workroom is a folder in which whole programs run.
type workroom struct {
	*testing.T
	dir string
}

// newWorkroom returns a workroom with a calibration c.json. Other users may go
// into it, too.
func newWorkroom(t *testing.T) *workroom {
	t.Helper()
	dir, err := os.MkdirTemp("", "actinic-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	w := &workroom{t, dir}
	ramp, err := filepath.Abs("../../examples/first-cyanotype/ramp.csv")
	if err != nil {
		t.Fatal(err)
	}
	if e := w.run("curve", "--ramp", ramp, "-o", "c.json"); e.code != exitDone {
		t.Fatalf("exit code %d: %s", e.code, e.err)
	}
	return w
}

func (w *workroom) path(name string) string { return filepath.Join(w.dir, name) }

// ended is how a program ended, and what it said.
type ended struct {
	code     int // -1 when a signal ended it
	out, err string
}

// command prepares a run of actinic in the workroom, at a fixed date.
func (w *workroom) command(args ...string) *exec.Cmd {
	return w.shell(`exec "$ACTINIC" "$@"`, args...)
}

// shell prepares a run of a line for sh that has args as "$@".
func (w *workroom) shell(line string, args ...string) *exec.Cmd {
	cmd := exec.Command("sh", append([]string{"-c", line, "sh"}, args...)...)
	cmd.Dir = w.dir
	cmd.Env = append(os.Environ(), "ACTINIC="+program(w.T), "SOURCE_DATE_EPOCH=1767225600")
	return cmd
}

func (w *workroom) run(args ...string) ended { return w.end(w.command(args...)) }

// end runs a command to its end.
func (w *workroom) end(cmd *exec.Cmd) ended {
	w.Helper()
	return w.meanwhile(cmd, func(<-chan struct{}) {})
}

// meanwhile runs a command to its end, and f while it runs; over closes with the
// end.
func (w *workroom) meanwhile(cmd *exec.Cmd, f func(over <-chan struct{})) ended {
	w.Helper()
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Start(); err != nil {
		w.Fatal(err)
	}
	over := make(chan struct{})
	go func() {
		defer close(over)
		_ = cmd.Wait()
	}()
	f(over)
	<-over
	return ended{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// waitFor returns when happened does, or the program is over.
func (w *workroom) waitFor(over <-chan struct{}, happened func() bool) {
	for !happened() {
		select {
		case <-over:
			return
		case <-time.After(time.Millisecond):
		}
	}
}

// want fails the test when a program ended otherwise, and says what it said.
func (w *workroom) want(e ended, code int, said ...string) {
	w.Helper()
	if e.code != code {
		w.Errorf("exit code %d, want %d\n%s%s", e.code, code, e.out, e.err)
	}
	for _, text := range said {
		if !strings.Contains(e.err, text) {
			w.Errorf("standard error does not say %q:\n%s", text, e.err)
		}
	}
}

// write makes a file of the workroom, and the folders above it.
func (w *workroom) write(name string, content []byte) {
	w.Helper()
	path := w.path(name)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		w.Fatal(err)
	}
	if err := os.WriteFile(path, content, 0o666); err != nil {
		w.Fatal(err)
	}
}

// tree returns the content of every file in a folder of the workroom, hidden
// ones too, by its path; empty for a folder that is not there.
func (w *workroom) tree(folder string) map[string]string {
	w.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(w.path(folder), func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		content, err := os.ReadFile(path)
		name, _ := filepath.Rel(w.path(folder), path)
		files[name] = string(content)
		return err
	})
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		w.Fatal(err)
	}
	return files
}

// wantNothing fails the test when a folder holds a file.
func (w *workroom) wantNothing(folder string) {
	w.Helper()
	for name := range w.tree(folder) {
		w.Errorf("%s was left in %s", name, folder)
	}
}
