package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"
	"testing"
	"unsafe"
)

// newTerminal returns both ends of a terminal: pts(4).
func newTerminal(t *testing.T, columns uint16) (screen, program *os.File) {
	t.Helper()
	screen, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { screen.Close() })
	control := func(f *os.File, request uintptr, value unsafe.Pointer) {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, f.Fd(), request, uintptr(value)); e != 0 {
			t.Fatal(e)
		}
	}
	var unlocked, number int32
	control(screen, syscall.TIOCSPTLCK, unsafe.Pointer(&unlocked))
	control(screen, syscall.TIOCGPTN, unsafe.Pointer(&number))
	size := [4]uint16{24, columns}
	control(screen, syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return screen, program
}

// onTerminal runs a command with standard output and error on a terminal, and
// returns all that went there.
func (w *workroom) onTerminal(columns uint16, args ...string) string {
	w.Helper()
	screen, program := newTerminal(w.T, columns)
	cmd := w.command(args...)
	cmd.Stdout, cmd.Stderr = program, program
	said := make(chan string)
	go func() {
		all, _ := io.ReadAll(screen) // ends with an error when the last writer goes
		said <- string(all)
	}()
	if err := cmd.Start(); err != nil {
		w.Fatal(err)
	}
	program.Close()
	_ = cmd.Wait()
	return <-said
}

// TestProgressOnTerminal: a line on a terminal says how far the batch is, never
// breaks, and is gone at the end; nobody else sees one.
func TestProgressOnTerminal(t *testing.T) {
	w := newWorkroom(t)
	line := w.batchOf(8, 500, 400)
	for _, columns := range []uint16{35, 100} {
		all := w.onTerminal(columns, line(fmt.Sprint("films", columns), "--jobs", "1")...)
		for _, want := range []string{"3 of 8 pictures", "8 of 8 pictures  100 %", " s left"} {
			if !strings.Contains(all, want) {
				t.Errorf("%d columns: never said %q: %q", columns, want, all)
			}
		}
		if said := strings.Contains(all, "megapixels/s  ["); said != (columns == 100) {
			t.Errorf("%d columns: speed and bar there: %v: %q", columns, said, all)
		}
		for part := range strings.SplitSeq(strings.ReplaceAll(all, "\n", "\r"), "\r") {
			if strings.Contains(part, " of 8 pictures") && len(part) >= int(columns) {
				t.Errorf("%d columns: a line of %d: %q", columns, len(part), part)
			}
		}
		shown := strings.Join(screen(strings.ReplaceAll(all, "\r\n", "\n")), "\n")
		if strings.Contains(shown, "pictures") || !strings.Contains(shown, "films made: 8, failed: 0") {
			t.Errorf("%d columns: at the end the screen shows:\n%s", columns, shown)
		}
	}
	for _, flag := range []string{"--quiet", "--json"} {
		if all := w.onTerminal(80, line("films"+flag, flag)...); strings.Contains(all, "of 8 pictures") {
			t.Errorf("%s: a progress line all the same: %q", flag, all)
		}
	}
	if e := w.run(line("films")...); e.err != "" {
		t.Errorf("without a terminal standard error has %q", e.err)
	}
}
