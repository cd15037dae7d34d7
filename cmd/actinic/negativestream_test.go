package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Who interrupts the film of a picture from standard input is told so, as with
// any other.
func TestInterruptedFilmOfAStream(t *testing.T) {
	dir := t.TempDir()
	calibration := filepath.Join(dir, "c.calibration.json")
	a, _, errs := newTestApp(nil)
	if code := run(t.Context(), []string{"curve", "--ramp", "../../examples/first-cyanotype/ramp.csv", "-o", calibration}, a.streams); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	picture, err := os.ReadFile("../../testdata/photos/cat.png")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	for _, args := range [][]string{
		{"negative", "-", "--calibration", calibration, "-o", filepath.Join(dir, "film.tif")},
		{"negative", "-", "--calibration", calibration, "-o", "-"},
		{"negative", "-", "--calibration", calibration, "--copies", "2", "-o", filepath.Join(dir, "film.tif")},
	} {
		a, out, errs := newTestApp(nil)
		a.in = bytes.NewReader(picture)
		if code := run(ctx, args, a.streams); code != exitInterrupted || !strings.Contains(errs.String(), "interrupted") || out.Len() > 0 {
			t.Errorf("%v: exit code %d, %q", args, code, errs)
		}
		if _, err := os.Stat(filepath.Join(dir, "film.tif")); err == nil {
			t.Errorf("%v: there is a film", args)
		}
	}
}
