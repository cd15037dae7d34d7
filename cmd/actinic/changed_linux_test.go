package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// TestChangedWhileRead: a picture that is rewritten, cut short or removed while
// its film is made gives no film, the reason is said, and the other picture's film
// is made.
func TestChangedWhileRead(t *testing.T) {
	w := newWorkroom(t)
	picture := tiffOf(6000, 3000, noise(6000*3000), 0)
	w.write("in/other.tif", encoded(t, grainy(20, 10, 2), asTIFF))
	other := make([]byte, len(picture))
	copy(other, picture)
	for i := 100; i < len(other); i += 2 {
		other[i] ^= 1
	}
	changes := map[string]func(path string) error{
		"rewritten": func(path string) error { return os.WriteFile(path, other, 0o666) },
		"replaced": func(path string) error {
			if err := os.WriteFile(path+".new", other, 0o666); err != nil {
				return err
			}
			return os.Rename(path+".new", path)
		},
		"cut short": func(path string) error { return os.Truncate(path, 5000) },
		"removed":   os.Remove,
	}
	for name, change := range changes {
		w.write("in/changed.tif", picture)
		cmd := w.command("negative", "in", "--calibration", "c.json", "-o", name, "--jobs", "1")
		e := w.meanwhile(cmd, func(over <-chan struct{}) {
			w.pauseInWork(cmd, over, name)
			if err := change(w.path("in/changed.tif")); err != nil {
				t.Error(err)
			}
			_ = cmd.Process.Signal(syscall.SIGCONT)
		})
		w.want(e, exitPartial, "in/changed.tif: ", "actinic: hint: ")
		w.wantOnly(name, "other.tif")
		if t.Failed() {
			t.Fatalf("that was a picture %s", name)
		}
	}
}

// pauseInWork stops a program while a film is on its way into a folder.
func (w *workroom) pauseInWork(cmd *exec.Cmd, over <-chan struct{}, out string) {
	w.Helper()
	w.waitFor(over, func() bool {
		on, _ := filepath.Glob(filepath.Join(w.path(out), ".actinic-*.tmp"))
		return len(on) > 0
	})
	_ = cmd.Process.Signal(syscall.SIGSTOP)
	if n := w.films(out); n > 0 {
		w.Fatalf("the film was made before the program could be stopped: take a larger picture")
	}
}
