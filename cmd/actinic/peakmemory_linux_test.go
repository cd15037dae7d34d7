package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"actinic/negative/batch"
	"actinic/testdata/outside"
)

// measured runs actinic and returns the most memory that it took at any moment,
// in bytes, as the kernel counts it (getrusage(2), ru_maxrss). The program time
// stands between, because the kernel counts the memory of whoever starts a
// program as its own at first, and a test has more than time.
func (w *workroom) measured(args ...string) (ended, int64) {
	w.Helper()
	timer := outside.Tool(w.T, "/usr/bin/time", "time")
	cmd := w.shell(`exec `+timer+` -f %M -o peak "$ACTINIC" "$@"`, args...)
	e := w.end(cmd)
	text, err := os.ReadFile(w.path("peak"))
	if err != nil {
		w.Fatal(err)
	}
	lines := strings.Fields(string(text)) // a line on the exit code comes first
	kib, err := strconv.ParseInt(lines[len(lines)-1], 10, 64)
	if err != nil {
		w.Fatalf("time says %q", text)
	}
	return e, kib << 10
}

// TestPeakMemoryDoesNotGrowWithHeight: a picture of four times the height takes
// no more memory. Its further rows, held whole, would be 11 MiB at 16 bits; the
// garbage collector's moods are allowed 5.
func TestPeakMemoryDoesNotGrowWithHeight(t *testing.T) {
	const width, height = 1200, 1600
	const held, allowed = width * height * 3 * 2, 5 << 20
	w := newWorkroom(t)
	tests := []struct {
		name, in string
		flags    []string
		out      string
	}{
		{"same grid", "tif", nil, "film.tif"},
		{"uncompressed", "tif", []string{"--compress", "none"}, "film.tif"},
		{"resampled", "tif", []string{"--size", "150mm", "--ppi", "300"}, "film.tif"},
		{"turned", "tif", []string{"--rotate", "180"}, "film.tif"},
		{"dithered", "tif", nil, "film.png"},
		{"PNG", "png", nil, "film.tif"},
	}
	for i, rows := range []int{height, 4 * height} {
		picture := grainy(width, rows, 1)
		w.write(fmt.Sprint("tif", i), encoded(t, picture, asTIFF))
		w.write(fmt.Sprint("png", i), encoded(t, picture, asFastPNG))
	}
	if held < 2*allowed {
		t.Fatalf("%d bytes held would not be seen", held)
	}
	for _, test := range tests {
		var peak [2]int64
		for i := range peak {
			args := append([]string{"--force", "negative", fmt.Sprint(test.in, i), "--calibration", "c.json", "-o", test.out}, test.flags...)
			e, bytes := w.measured(args...)
			w.want(e, exitDone)
			peak[i] = bytes
		}
		if peak[1] > peak[0]+allowed {
			t.Errorf("%s: %d MiB for %d rows, %d MiB for four times as many", test.name, peak[0]>>20, height, peak[1]>>20)
		}
		t.Logf("%s: %d and %d MiB", test.name, peak[0]>>20, peak[1]>>20)
	}
}

// TestMemoryBound: --memory bounds what all pictures in work take together, the
// program itself (batch.ProcessBytes) apart. Without it four of these pictures
// take twice as much.
func TestMemoryBound(t *testing.T) {
	const bound = 32 << 20
	w := newWorkroom(t)
	picture := encoded(t, grainy(4000, 3000, 1), asJPEG)
	for i := range 4 {
		w.write(fmt.Sprintf("in/%d.jpg", i), picture)
	}
	e, peak := w.measured("--jobs", "4", "negative", "in", "--calibration", "c.json", "--size", "100mm", "-o", "out", "--memory", "32MiB")
	w.want(e, exitDone)
	if peak > bound+batch.ProcessBytes {
		t.Errorf("it took %d MiB", peak>>20)
	}
	_, free := w.measured("--jobs", "4", "negative", "in", "--calibration", "c.json", "--size", "100mm", "-o", "free")
	t.Logf("%d MiB, and %d without the bound", peak>>20, free>>20)
	w.wantSame(w.tree("free"), w.tree("out"))
}
