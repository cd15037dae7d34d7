package output

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// needLocks skips where it cannot be told who holds a file.
func needLocks(t *testing.T) {
	t.Helper()
	if !canLock {
		t.Skip("no locks on this system")
	}
}

// A killed program's temporary file goes; one in work stays, and so does all that
// is not of this machine or not ours.
func TestSweepRemovesWhatNobodyHolds(t *testing.T) {
	needLocks(t)
	dir := t.TempDir()
	put(t, filepath.Join(dir, fmt.Sprintf(tempForm, machine(), 1)), "half a film")
	keep := []string{fmt.Sprintf(tempForm, "00000000", 2), ".actinic-note.tmp", "x.tmp", ".actinic-" + machine() + "-1.tmp"}
	for _, name := range keep {
		put(t, filepath.Join(dir, name), "")
	}
	if err := os.Mkdir(filepath.Join(dir, fmt.Sprintf(tempForm, machine(), 3)), 0o777); err != nil {
		t.Fatal(err)
	}
	f := start(t, filepath.Join(dir, "a.tif"), "whole", Options{}) // sweeps too
	Sweep(dir)
	left := present(t, dir)
	for _, name := range append(keep, fmt.Sprintf(tempForm, machine(), 3), filepath.Base(f.f.name)) {
		if !strings.Contains(left, name) {
			t.Errorf("%s is gone", name)
		}
	}
	if strings.Contains(left, fmt.Sprintf(tempForm, machine(), 1)) {
		t.Error("the killed program's file is still there")
	}
	if _, err := f.Seal(); err != nil {
		t.Fatal(err)
	}
	Sweep(dir) // closed, and still in work
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	if got := content(t, filepath.Join(dir, "a.tif")); got != "whole" {
		t.Errorf("%q", got)
	}
}

// The lock of a program that is killed ends with it.
func TestAKilledProgramHoldsNothing(t *testing.T) {
	needLocks(t)
	if dir := os.Getenv("ACTINIC_TEST_HOLD"); dir != "" {
		if _, err := Create(filepath.Join(dir, "x"), Options{}); err != nil {
			t.Fatal(err)
		}
		fmt.Println("holding")
		select {}
	}
	dir := t.TempDir()
	c := exec.Command(os.Args[0], "-test.run=^TestAKilledProgramHoldsNothing$")
	c.Env = append(os.Environ(), "ACTINIC_TEST_HOLD="+dir)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Read(make([]byte, 8)); err != nil {
		t.Fatal(err)
	}
	Sweep(dir)
	if got := present(t, dir); !strings.HasSuffix(got, ".tmp") {
		t.Errorf("a file in work was removed: %q", got)
	}
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = c.Wait()
	Sweep(dir)
	if got := present(t, dir); got != "" {
		t.Errorf("left: %s", got)
	}
}

// Programs that sweep while others create take nothing from them.
func TestSweepTakesNothingFromThoseWhoCreate(t *testing.T) {
	dir := t.TempDir()
	stop, stopped := make(chan bool), make(chan bool)
	go func() {
		defer close(stopped)
		for {
			select {
			case <-stop:
				return
			default:
				Sweep(dir)
			}
		}
	}()
	for i := range 300 {
		name := filepath.Join(dir, fmt.Sprint(i))
		if err := start(t, name, "x", Options{}).Commit(); err != nil {
			t.Fatal(err)
		}
	}
	close(stop)
	<-stopped
	if got := len(strings.Fields(present(t, dir))); got != 300 {
		t.Errorf("%d files, want 300", got)
	}
}
