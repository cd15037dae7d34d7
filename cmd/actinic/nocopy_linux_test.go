package main

import (
	"os"
	"regexp"
	"strconv"
	"testing"
)

// writtenBytes is the line of proc_pid_io(5) that counts what write calls took;
// a shell's has that of the programs it waited for.
var writtenBytes = regexp.MustCompile(`(?m)^wchar: (\d+)$`)

// TestNoCopyIsWritten: what the program writes, wherever, is its output and a
// little more (what it says, the header that is written last). A temporary copy
// of the picture, or of a page, would double it.
func TestNoCopyIsWritten(t *testing.T) {
	const little = 64 << 10
	w := newWorkroom(t)
	w.write("in.tif", encoded(t, grainy(1400, 1000, 1), asTIFF))
	for _, test := range []struct {
		out  string
		args []string
	}{
		{"plain.tif", []string{"negative", "in.tif", "--calibration", "c.json", "--compress", "none"}},
		{"film.tif", []string{"negative", "in.tif", "--calibration", "c.json"}},
		{"sized.tif", []string{"negative", "in.tif", "--calibration", "c.json", "--size", "150mm", "--ppi", "300"}},
		{"film.png", []string{"negative", "in.tif", "--calibration", "c.json"}},
		{"sheet.pdf", []string{"sheet", "film.tif", "--film", "600x600mm"}},
		{"eight.pdf", []string{"sheet", "film.tif", "--film", "600x600mm", "--depth", "8"}},
	} {
		w.want(w.end(w.shell(`"$ACTINIC" "$@" && cat /proc/$$/io >io`, append(test.args, "-o", test.out)...)), exitDone)
		io, err := os.ReadFile(w.path("io"))
		if err != nil {
			t.Fatal(err)
		}
		out, err := os.Stat(w.path(test.out))
		if err != nil {
			t.Fatal(err)
		}
		found := writtenBytes.FindSubmatch(io)
		if found == nil {
			t.Skipf("the kernel does not count what is written:\n%s", io)
		}
		written, err := strconv.ParseInt(string(found[1]), 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		if out.Size() < 4*little || written < out.Size() || written > out.Size()+little {
			t.Errorf("%s has %d bytes, and %d were written", test.out, out.Size(), written)
		}
	}
}
