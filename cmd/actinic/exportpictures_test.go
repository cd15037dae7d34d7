package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

// TestPicturesThroughLinks takes photographs the way the help of 'export' says, with
// lcms2's tificc: to the coded grey, then through the device link; and holds the films
// against those of 'negative' on every pixel. Without precalculation (-c0) they agree
// within 1/10000 of full ink. With lcms2's defaults (-c1) the way to the coded grey runs
// through a grid, which shows least in sRGB, and most where an ink blend is steep.
func TestPicturesThroughLinks(t *testing.T) {
	outside.Tool(t, "tificc", "liblcms2-utils")
	for _, c := range []struct {
		ramp    string
		coding  codingFlag
		gridded float64
	}{
		{"first-cyanotype/ramp.csv", codingSRGB, 1e-3},
		{"first-cyanotype/ramp.csv", codingLstar, 5e-3},
		{"ink-colour/ramp.csv", codingSRGB, 5e-3},
		{"ink-colour/ramp.csv", codingLstar, 1e-2},
	} {
		e := exportedPictures{t: t, dir: t.TempDir()}
		e.export("../../examples/"+c.ramp, c.coding)
		for _, photo := range []string{"cat.png", "dandelions.jpg", "amphitheatre.jpg"} {
			e.savePhoto(photo)
			for args, limit := range map[string]float64{"-c0": 1e-4, "-c1": c.gridded} {
				off := e.worst(args)
				t.Logf("%s, %s, %s, %s: off by %.6f of full ink", c.ramp, c.coding, photo, args, off)
				if !(off <= limit) {
					t.Errorf("%s, %s, %s, %s: off by %.6f of full ink, want at most %g", c.ramp, c.coding, photo, args, off, limit)
				}
			}
		}
	}
}

// exportedPictures is a folder with a calibration and what was exported of it.
type exportedPictures struct {
	t   *testing.T
	dir string
}

func (e *exportedPictures) path(name string) string { return filepath.Join(e.dir, name) }

func (e *exportedPictures) run(args ...string) {
	e.t.Helper()
	a, _, errs := newTestApp(nil)
	if code := run(context.Background(), append([]string{"--force"}, args...), a.streams); code != exitDone {
		e.t.Fatalf("%q: exit code %d: %s", args, code, errs)
	}
}

// export makes the calibration of a ramp, its link and the profile of the coded grey.
func (e *exportedPictures) export(ramp string, coding codingFlag) {
	e.t.Helper()
	e.run("curve", "--ramp", ramp, "-o", e.path("c.calibration.json"))
	e.run("export", "--calibration", e.path("c.calibration.json"), "--coding", string(coding),
		"--link", e.path("link.icc"), "--grey-icc", e.path("grey.icc"))
}

// savePhoto writes every third pixel each way of a photograph as a 16-bit TIFF
// without a profile.
func (e *exportedPictures) savePhoto(name string) {
	e.t.Helper()
	from := e.decoded("../../testdata/photos/" + name)
	size := from.Bounds().Size().Div(3)
	var rows []byte
	for y := range size.Y {
		for x := range size.X {
			r, g, b, _ := from.At(3*x, 3*y).RGBA()
			for _, v := range []uint32{r, g, b} {
				rows = binary.LittleEndian.AppendUint16(rows, uint16(v))
			}
		}
	}
	const long = 4
	file := tiffOf(uint32(size.X), uint32(size.Y), rows, 0, tiffTag{258, long, 16}, tiffTag{262, long, 2}, tiffTag{277, long, 3})
	if err := os.WriteFile(e.path("photo.tif"), file, 0o600); err != nil {
		e.t.Fatal(err)
	}
}

func (e *exportedPictures) decoded(path string) image.Image {
	e.t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		e.t.Fatal(err)
	}
	m, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		e.t.Fatal(fmt.Errorf("%s: %w", path, err))
	}
	return m
}

// worst makes the film both ways and returns how far any pixel is apart.
func (e *exportedPictures) worst(precalculation string) float64 {
	e.t.Helper()
	e.run("negative", e.path("photo.tif"), "--calibration", e.path("c.calibration.json"), "--no-mirror", "--depth", "16", "-o", e.path("ours.tif"))
	tificc := func(args ...string) {
		outside.Run(e.t, "tificc", "liblcms2-utils", append([]string{"-w16"}, args...)...)
	}
	tificc("-t1", precalculation, "-o"+e.path("grey.icc"), e.path("photo.tif"), e.path("grey.tif"))
	tificc(precalculation, "-l"+e.path("link.icc"), e.path("grey.tif"), e.path("theirs.tif"))
	ours, theirs := e.decoded(e.path("ours.tif")), e.decoded(e.path("theirs.tif"))
	if ours.Bounds() != theirs.Bounds() {
		e.t.Fatalf("films of %v and %v", ours.Bounds(), theirs.Bounds())
	}
	off := 0.0
	for y := range ours.Bounds().Dy() {
		for x := range ours.Bounds().Dx() {
			r, g, b, _ := ours.At(x, y).RGBA()
			lr, lg, lb, _ := theirs.At(x, y).RGBA()
			for _, d := range []float64{float64(r) - float64(lr), float64(g) - float64(lg), float64(b) - float64(lb)} {
				off = max(off, math.Abs(d)/65535)
			}
		}
	}
	return off
}
