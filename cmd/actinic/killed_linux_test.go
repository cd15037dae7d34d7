package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"actinic/testdata/outside"
)

var (
	kills    = flag.Int("kills", 24, "how often TestKilled kills a batch")
	killSeed = flag.Uint64("kill-seed", 11, "which moments TestKilled takes")
)

// killsInARow is how often one batch is killed before it may end: what killed
// runs leave must not hinder a run that is killed itself.
const killsInARow = 3

// batchOf fills the folder in of a workroom with pictures, and returns the
// command line that makes their films into out.
func (w *workroom) batchOf(pictures, width, height int) func(out string, more ...string) []string {
	w.Helper()
	for i := range pictures {
		name := fmt.Sprintf("in/roll %d/%02d.tif", i%3, i)
		w.write(name, encoded(w.T, grainy(width, height, uint64(i)), asTIFF))
	}
	return func(out string, more ...string) []string {
		return append([]string{"negative", "in", "--calibration", "c.json", "-o", out}, more...)
	}
}

// TestKilled: whenever a batch is killed, a file that has a film's name is that
// film, whole, and has its record; and a second run makes what an undisturbed
// one makes, and leaves nothing else. For more moments: -kills 500 -kill-seed 4242.
func TestKilled(t *testing.T) {
	w := newWorkroom(t)
	line := w.batchOf(9, 240, 160)
	began := time.Now()
	w.want(w.run(line("whole")...), exitDone)
	usual := time.Since(began)
	whole := w.tree("whole")
	w.wantFilms(9)
	r := rand.New(rand.NewPCG(*killSeed, 0))
	for done := 0; done < *kills; done += killsInARow {
		out := fmt.Sprintf("killed %d", done)
		for range killsInARow {
			w.killed(line(out), time.Duration(r.Float64()*float64(usual)))
			w.wantNoHalf(w.tree(out), whole)
		}
		w.want(w.run(line(out)...), exitDone)
		w.wantSame(w.tree(out), whole)
	}
}

// killed starts a command and ends it, without warning, some time later.
func (w *workroom) killed(args []string, after time.Duration) {
	w.Helper()
	cmd := w.command(args...)
	if err := cmd.Start(); err != nil {
		w.Fatal(err)
	}
	time.Sleep(after)
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
}

// isFilm reports whether a path below the output folder is a film's name.
func isFilm(name string) bool {
	return !strings.Contains("/"+name, "/.")
}

// films is how many films a folder holds.
func (w *workroom) films(out string) int {
	w.Helper()
	n := 0
	for name := range w.tree(out) {
		if isFilm(name) {
			n++
		}
	}
	return n
}

// wantNoTemporary fails the test when a folder holds what is neither film nor
// record.
func (w *workroom) wantNoTemporary(out string) {
	w.Helper()
	for name := range w.tree(out) {
		if strings.HasSuffix(name, ".tmp") {
			w.Errorf("%s was left in %s", name, out)
		}
	}
}

// recordOf is where the record of a film lies.
func recordOf(name string) string {
	return filepath.Join(filepath.Dir(name), ".actinic", filepath.Base(name)+".json")
}

// wantNoHalf fails the test when a film is not the whole one, or has no record.
func (w *workroom) wantNoHalf(got, whole map[string]string) {
	w.Helper()
	for name, content := range got {
		if !isFilm(name) {
			continue
		}
		if content != whole[name] {
			w.Errorf("%s has %d bytes, and is not the film of %d bytes that an undisturbed run makes", name, len(content), len(whole[name]))
		}
		if record := recordOf(name); got[record] != whole[record] || got[record] == "" {
			w.Errorf("%s: its record is %q, want %q", name, got[record], whole[record])
		}
	}
}

// wantSame fails the test when two folders differ in anything.
func (w *workroom) wantSame(got, want map[string]string) {
	w.Helper()
	for name := range got {
		if _, is := want[name]; !is {
			w.Errorf("%s was left", name)
		}
	}
	for name := range want {
		if got[name] != want[name] {
			w.Errorf("%s is not what an undisturbed run makes", name)
		}
	}
}

// wantFilms holds the films of the undisturbed run to libtiff.
func (w *workroom) wantFilms(want int) {
	w.Helper()
	if films := w.films("whole"); films != want {
		w.Errorf("%d films, want %d", films, want)
	}
	err := filepath.Walk(w.path("whole"), func(path string, info os.FileInfo, err error) error {
		if err == nil && strings.HasSuffix(path, ".tif") {
			outside.Run(w.T, "tiffinfo", "libtiff-tools", "-D", path)
		}
		return err
	})
	if err != nil {
		w.Error(err)
	}
}

// TestInterrupted: Ctrl-C in mid-batch ends with 130, says how far it came, leaves
// no half film, and the same command goes on from there.
func TestInterrupted(t *testing.T) {
	w := newWorkroom(t)
	line := w.batchOf(24, 400, 300)
	w.write("in/a letter.jpg", []byte("no picture"))
	w.want(w.run(line("whole")...), exitPartial)
	whole := w.tree("whole")
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		out := sig.String()
		cmd := w.command(line(out, "--jobs", "1")...)
		e := w.meanwhile(cmd, func(over <-chan struct{}) {
			w.waitFor(over, func() bool { return w.films(out) > 0 })
			_ = cmd.Process.Signal(sig)
		})
		w.want(e, exitInterrupted, "actinic: error: interrupted after ", " of 25 pictures\n", "the same command again",
			"in/a letter.jpg: file: text cannot be read")
		w.wantNoHalf(w.tree(out), whole)
		w.wantNoTemporary(out)
		again := w.run(line(out)...)
		w.want(again, exitPartial)
		if !strings.Contains(again.out, "there already") {
			t.Errorf("after %v nothing was there already:\n%s", sig, again.out)
		}
		w.wantSame(w.tree(out), whole)
	}
}

// TestInterruptedTwice: a second Ctrl-C ends a program that hears no first one,
// because it waits for its input.
func TestInterruptedTwice(t *testing.T) {
	w := newWorkroom(t)
	cmd := w.command("negative", "-", "--calibration", "c.json", "-o", "film.tif")
	input, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	defer input.Close()
	e := w.meanwhile(cmd, func(over <-chan struct{}) {
		w.waitFor(over, func() bool {
			_ = cmd.Process.Signal(os.Interrupt)
			return false
		})
	})
	if e.code != -1 && e.code != exitInterrupted {
		t.Errorf("exit code %d, want it ended by the signal, or %d", e.code, exitInterrupted)
	}
	if _, err := os.Stat(w.path("film.tif")); err == nil {
		t.Error("there is a film of no picture")
	}
}
