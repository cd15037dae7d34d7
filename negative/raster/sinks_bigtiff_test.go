package raster_test

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// The first four bytes of a file: TIFF 6.0, section 2, and the BigTIFF design of
// the libtiff project.
const classicStart, bigStart = "II\x2a\x00", "II\x2b\x00"

// A file is BigTIFF exactly when it does not fit 32 bits, to the byte.
func TestBigTIFFWhenItMust(t *testing.T) {
	h := raster.Header{Width: 700, Height: 260, Channels: 3, Bits: 16, PPIX: 360, PPIY: 299.72, Description: "negative of a boat"}
	p := paint(h.Width, h.Height, h.Channels, grain)
	for _, comp := range []raster.Compression{raster.Deflate, raster.NoCompression} {
		write := func(limit int64) []byte {
			var f memory
			s, err := raster.NewTIFF(&f, h, raster.TIFFOptions{Compression: comp}.Bounded(limit))
			if err != nil {
				t.Fatal(err)
			}
			if err := errors.Join(s.WriteRows(background, p.rows), s.Commit()); err != nil {
				t.Fatal(err)
			}
			return f.b
		}
		classic := write(1 << 40)
		n := int64(len(classic))
		if !bytes.HasPrefix(classic, []byte(classicStart)) || !bytes.Equal(write(n), classic) {
			t.Error("a file that fits is not of the classic form")
		}
		large := write(n - 1)
		if !bytes.HasPrefix(large, []byte(bigStart)) {
			t.Fatalf("a file of more than %d bytes begins %q", n-1, large[:4])
		}
		same(t, "BigTIFF", read(t, memorySource(t, large)), p)
		checkBigTIFF(t, large, p)
	}
}

// checkBigTIFF has libtiff and libvips read the file.
func checkBigTIFF(t *testing.T, file []byte, p pixels) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "big.tif")
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	out := string(outside.Run(t, "tiffinfo", "libtiff-tools", "-s", path))
	for _, want := range []string{"Image Width: 700 Image Length: 260", "Resolution: 360, 299.72 pixels/inch",
		"ImageDescription: negative of a boat", "Rows/Strip: 62", "5 Strips"} {
		if !strings.Contains(out, want) {
			t.Errorf("tiffinfo does not say %q", want)
		}
	}
	if strings.Contains(out, "Warning") {
		t.Errorf("tiffinfo:\n%s", out)
	}
	again := filepath.Join(t.TempDir(), "again.png")
	outside.Run(t, "vips", "libvips-tools", "copy", path, again)
	_, got := open(t, again)
	same(t, "by libvips", got, p)
}

var hugeTIFF = flag.Bool("huge-tiff", false, "write a TIFF file of more than 4 gigabytes (sparse) and have other programs read its end")

// TestHugeTIFF writes 4.3 GB, most of it holes.
func TestHugeTIFF(t *testing.T) {
	if !*hugeTIFF {
		t.Skip("give -huge-tiff to write a file of 4.3 GB")
	}
	h := raster.Header{Width: 30000, Height: 24000, Channels: 3, Bits: 16}
	path := filepath.Join(t.TempDir(), "huge.tif")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := raster.NewTIFF(holes{f}, h, &raster.TIFFOptions{Compression: raster.NoCompression})
	if err != nil {
		t.Fatal(err)
	}
	row := make([]uint16, h.RowSamples())
	for y := range h.Height {
		if y == h.Height-2 {
			row[3*29999+1] = 54321
		}
		if err := s.WriteRows(background, [][]uint16{row}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	if info, err := f.Stat(); err != nil || info.Size() < 1<<32 {
		t.Fatal(info.Size(), err)
	}
	if out := string(outside.Run(t, "tiffinfo", "libtiff-tools", path)); !strings.Contains(out, "Image Width: 30000 Image Length: 24000") || strings.Contains(out, "Warning") {
		t.Errorf("tiffinfo:\n%s", out)
	}
	if out := outside.Run(t, "vips", "libvips-tools", "getpoint", path+"[access=sequential]", "29999", "23998"); !regexp.MustCompile(`^0 54321 0\s*$`).Match(out) {
		t.Errorf("vips getpoint: %s", out)
	}
}

var zeros = make([]byte, 1<<20)

// holes makes holes of what is nothing but zeros.
type holes struct{ *os.File }

func (w holes) Write(p []byte) (int, error) {
	if !bytes.Equal(p, zeros[:len(p)]) {
		return w.File.Write(p)
	}
	_, err := w.Seek(int64(len(p)), io.SeekCurrent)
	return len(p), err
}
