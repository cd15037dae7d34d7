package raster_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// pnm writes a picture as a portable map (netpbm's P5 or P6, 8 or 16 bits), a
// form that this package has no part in.
func pnm(t *testing.T, p pixels, depth int) string {
	t.Helper()
	kind, name := 5, "x.pgm"
	if p.channels == 3 {
		kind, name = 6, "x.ppm"
	}
	out := fmt.Appendf(nil, "P%d %d %d %d\n", kind, p.width, p.height, 1<<depth-1)
	for _, row := range p.rows {
		for _, v := range row {
			if out = append(out, byte(v>>8)); depth == 16 {
				out = append(out, byte(v))
			}
		}
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, out, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// convert runs ImageMagick and returns the file it makes.
func convert(t *testing.T, name string, args ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), name)
	outside.Run(t, "convert", "imagemagick", append(args, out)...)
	return out
}

// seenAs returns the pixels that ImageMagick finds in a file.
func seenAs(t *testing.T, path string, channels int, args ...string) pixels {
	t.Helper()
	kind := map[int]string{1: "gray:-", 3: "rgb:-"}[channels]
	args = append(append([]string{path}, args...), "-depth", "16", "-endian", "MSB", kind)
	raw := outside.Run(t, "convert", "imagemagick", args...)
	h, _ := open(t, path)
	if h.Orientation > 4 && len(args) > 1 && strings.Contains(strings.Join(args, " "), "-auto-orient") {
		h.Width, h.Height = h.Height, h.Width
	}
	return paint(h.Width, h.Height, channels, func(x, y, c int) uint16 {
		i := 2 * ((y*h.Width+x)*channels + c)
		return uint16(raw[i])<<8 | uint16(raw[i+1])
	})
}

// TestTIFFsOfImageMagick reads 16-bit and 8-bit TIFF files of every form that
// ImageMagick writes; the pixels are those that went in.
func TestTIFFsOfImageMagick(t *testing.T) {
	for _, channels := range []int{1, 3} {
		for _, depth := range []int{8, 16} {
			at := map[int]func(x, y, c int) uint16{8: grain8, 16: grain}[depth]
			want := paint(67, 45, channels, at)
			in := pnm(t, want, depth)
			for _, form := range [][]string{
				{"-compress", "none"}, {"-compress", "lzw"}, {"-compress", "zip"}, {"-compress", "rle"},
				{"-compress", "lzw", "-define", "tiff:predictor=2"}, {"-compress", "zip", "-define", "tiff:predictor=2"},
				{"-compress", "none", "-endian", "msb"}, {"-compress", "zip", "-endian", "msb", "-define", "tiff:predictor=2"},
				{"-compress", "zip", "-define", "tiff:rows-per-strip=7"}, {"-compress", "lzw", "-interlace", "plane"},
				{"-compress", "none", "-define", "tiff:tile-geometry=16x32"}, {"-compress", "zip", "-define", "tiff:tile-geometry=32x16"},
				{"-compress", "none", "-define", "quantum:polarity=min-is-white"},
			} {
				name := fmt.Sprintf("%d channels, %d bits, %v", channels, depth, form)
				file := convert(t, "x.tif", append([]string{in, "-depth", fmt.Sprint(depth)}, form...)...)
				h, got := open(t, file)
				if strings.Contains(name, "min-is-white") && channels == 1 {
					// The tag is written, the values are not turned: readers see the picture
					// inverted, ImageMagick too.
					same(t, name, got, seenAs(t, file, 1))
					continue
				}
				same(t, name, got, want)
				if h.Bits != depth {
					t.Errorf("%s: %d bits", name, h.Bits)
				}
			}
		}
	}
}

// TestTIFFsOfLibtiff rewrites a file by tiffcp.
func TestTIFFsOfLibtiff(t *testing.T) {
	for _, channels := range []int{1, 3} {
		want := paint(75, 50, channels, slope)
		plain := convert(t, "x.tif", pnm(t, want, 16), "-depth", "16", "-compress", "none")
		for _, form := range []string{
			"-c none", "-c lzw", "-c lzw:2", "-c zip", "-c zip:2", "-c zip:2 -B", "-c lzw:2 -B", "-c packbits -B", "-c packbits -L",
			"-c zip:2 -t -w 16 -l 32", "-c lzw -t -w 48 -l 16 -B", "-c none -t -w 64 -l 64", "-c packbits -t -w 16 -l 16",
			"-c none -r 1", "-c zip -r 1000",
		} {
			out := filepath.Join(t.TempDir(), "y.tif")
			outside.Run(t, "tiffcp", "libtiff-tools", append(strings.Fields(form), plain, out)...)
			_, got := open(t, out)
			same(t, form, got, want)
		}
		eight := paint(75, 50, channels, grain8) // tiffcp separates only 8 bits
		plain8 := convert(t, "x.tif", pnm(t, eight, 8), "-depth", "8", "-compress", "none")
		for _, form := range []string{"-c zip:2 -p separate", "-c none -p separate -r 7", "-c lzw:2 -p separate -t -w 32 -l 16"} {
			out := filepath.Join(t.TempDir(), "y.tif")
			outside.Run(t, "tiffcp", "libtiff-tools", append(strings.Fields(form), plain8, out)...)
			_, got := open(t, out)
			same(t, form, got, eight)
		}
		for form, what := range map[string]string{"-c zstd": "Zstandard", "-c lzma": "LZMA"} {
			out := filepath.Join(t.TempDir(), "y.tif")
			outside.Run(t, "tiffcp", "libtiff-tools", append(strings.Fields(form), plain, out)...)
			if _, err := raster.Open(out); err == nil || !strings.Contains(err.Error(), what) {
				t.Errorf("%s: %v, want %q named", form, err, what)
			}
		}
	}
}

// TestTIFFsAgainstXImage reads the same files by golang.org/x/image/tiff.
func TestTIFFsAgainstXImage(t *testing.T) {
	rgb, grey := pnm(t, paint(40, 30, 3, grain), 16), pnm(t, paint(40, 30, 1, grain), 16)
	for _, args := range [][]string{
		{rgb, "-compress", "lzw"}, {rgb, "-depth", "8", "-compress", "zip"}, {grey, "-compress", "none"}, {grey, "-depth", "8", "-compress", "lzw"},
		{rgb, "-alpha", "set", "-channel", "A", "-fx", "0.3+0.7*i/w", "-depth", "8", "-compress", "lzw", "-define", "tiff:alpha=unassociated"},
		{rgb, "-alpha", "set", "-channel", "A", "-fx", "0.3+0.7*i/w", "-depth", "16", "-compress", "none", "-define", "tiff:alpha=unassociated"},
	} {
		file := convert(t, "x.tif", args...)
		h, got := open(t, file)
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		m, err := tiff.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		same(t, strings.Join(args[1:], " "), got, onWhite(m, h.Channels))
	}
}

// TestAlphaAgainstImageMagick composites both kinds of alpha in grey and RGB,
// TIFF and PNG. ImageMagick composites encoded values too; it works on 16-bit
// values that it may have divided by alpha before, which loses a little where
// alpha is small.
func TestAlphaAgainstImageMagick(t *testing.T) {
	for _, channels := range []int{1, 3} {
		in := pnm(t, paint(48, 32, channels, grain), 16)
		for _, form := range [][]string{
			{"x.tif", "-depth", "16", "-define", "tiff:alpha=unassociated"}, {"x.tif", "-depth", "16", "-define", "tiff:alpha=associated"},
			{"x.png", "-depth", "16"}, {"x.png", "-depth", "8"},
		} {
			args := append([]string{in, "-alpha", "set", "-channel", "A", "-fx", "0.2+0.8*i/w", "+channel"}, form[1:]...)
			file := convert(t, form[0], args...)
			_, got := open(t, file)
			want := seenAs(t, file, channels, "-background", "white", "-alpha", "remove", "-alpha", "off")
			near(t, fmt.Sprint(channels, form), got, want, 3)
		}
	}
}

// near allows samples to differ by some codes of 65535.
func near(t *testing.T, what string, got, want pixels, codes int) {
	t.Helper()
	worst := 0
	for y, row := range want.rows {
		for i, v := range row {
			worst = max(worst, abs(int(got.rows[y][i])-int(v)))
		}
	}
	if worst > codes || got.width != want.width {
		t.Errorf("%s: differs by %d codes, at most %d allowed", what, worst, codes)
	}
}

func abs(v int) int { return max(v, -v) }

// TestPNGsOfImageMagick reads every kind of PNG file, interlaced too.
func TestPNGsOfImageMagick(t *testing.T) {
	rgb, grey := pnm(t, paint(45, 37, 3, grain), 16), pnm(t, paint(45, 37, 1, grain), 16)
	for _, c := range []struct {
		channels int
		args     []string
	}{
		{3, []string{rgb, "-depth", "16"}}, {3, []string{rgb, "-depth", "8"}}, {1, []string{grey, "-depth", "16"}}, {1, []string{grey, "-depth", "8"}},
		{3, []string{rgb, "-colors", "200", "-define", "png:color-type=3"}}, {3, []string{rgb, "-colors", "4", "-define", "png:color-type=3", "-define", "png:bit-depth=2"}},
		{1, []string{grey, "-monochrome", "-define", "png:color-type=0", "-define", "png:bit-depth=1"}},
		{1, []string{grey, "-posterize", "16", "-depth", "4", "-define", "png:color-type=0", "-define", "png:bit-depth=4"}},
	} {
		for _, lace := range []string{"none", "PNG"} {
			file := convert(t, "x.png", append(c.args, "-interlace", lace)...)
			h, got := open(t, file)
			want := seenAs(t, file, c.channels)
			if h.Channels != c.channels || (h.Access == raster.Whole) != (lace == "PNG") {
				t.Errorf("%v %s: %d channels, access %d", c.args[1:], lace, h.Channels, h.Access)
				continue
			}
			same(t, fmt.Sprint(c.args[1:], lace), got, want)
		}
	}
}

// TestJPEGsOfImageMagick compares with what another decoder makes of the file:
// grey within 1 code of 255, because inverse transforms round differently;
// colour without subsampling within 3.
func TestJPEGsOfImageMagick(t *testing.T) {
	smooth := func(x, y, c int) uint16 { return uint16(40+x*3+y*(c+1)) * 257 }
	for _, c := range []struct {
		channels, codes int
		args            []string
	}{
		{1, 1, nil}, {1, 1, []string{"-interlace", "JPEG"}}, {3, 3, []string{"-sampling-factor", "1x1"}}, {3, 3, []string{"-sampling-factor", "1x1", "-interlace", "JPEG"}},
		{3, 3, []string{"-define", "jpeg:colorspace=rgb"}},
	} {
		in := pnm(t, paint(51, 35, c.channels, smooth), 8)
		file := convert(t, "x.jpg", append([]string{in, "-quality", "95"}, c.args...)...)
		h, got := open(t, file)
		if h.Channels != c.channels || h.Format != "JPEG" || h.HeldBytes < int64(51*35*c.channels) {
			t.Errorf("%v: %+v", c.args, h)
		}
		near(t, fmt.Sprint(c.channels, c.args), got, seenAs(t, file, c.channels), c.codes*257)
	}
	cmyk := convert(t, "x.jpg", pnm(t, paint(20, 20, 3, grain), 8), "-colorspace", "CMYK")
	if _, err := raster.Open(cmyk); err == nil || !strings.Contains(err.Error(), "CMYK") {
		t.Errorf("CMYK: %v", err)
	}
}

// TestResolutionAndProfile of files that ImageMagick tags.
func TestResolutionAndProfile(t *testing.T) {
	const profile = "/usr/share/color/icc/ghostscript/srgb.icc"
	wantProfile := outside.File(t, profile, "libgs-common")
	in := pnm(t, paint(9, 9, 3, grain), 8)
	for _, name := range []string{"x.tif", "x.png", "x.jpg"} {
		h, _ := open(t, convert(t, name, in, "-density", "300x150", "-units", "PixelsPerInch", "-profile", profile))
		if h.PPIX != 300 || h.PPIY != 150 || !bytes.Equal(h.Profile, wantProfile) || h.Orientation != 1 {
			t.Errorf("%s: %g x %g ppi, orientation %d, profile of %d bytes", name, h.PPIX, h.PPIY, h.Orientation, len(h.Profile))
		}
		h, _ = open(t, convert(t, name, in, "-density", "100", "-units", "PixelsPerCentimeter"))
		if d := h.PPIX - 254; d > 1e-6 || d < -1e-6 || h.Profile != nil {
			t.Errorf("%s: %g ppi from 100 a centimetre, profile of %d bytes", name, h.PPIX, len(h.Profile))
		}
	}
}

// TestOrientedAgainstImageMagick turns TIFF files of all eight orientations.
func TestOrientedAgainstImageMagick(t *testing.T) {
	in := pnm(t, paint(23, 14, 3, grain), 16)
	for i, name := range []string{"TopLeft", "TopRight", "BottomRight", "BottomLeft", "LeftTop", "RightTop", "RightBottom", "LeftBottom"} {
		file := convert(t, "x.tif", in, "-compress", "zip", "-orient", name)
		s, err := raster.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		if s.Header().Orientation != i+1 {
			t.Errorf("%s: orientation %d, want %d", name, s.Header().Orientation, i+1)
		}
		o := raster.Oriented(s, false)
		same(t, name, read(t, o), seenAs(t, file, 3, "-auto-orient"))
		o.Restart()
		same(t, name+" again", read(t, o), seenAs(t, file, 3, "-auto-orient"))
		o.Close()
		s, err = raster.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		m := raster.Oriented(s, true)
		same(t, name+" mirrored", read(t, m), seenAs(t, file, 3, "-auto-orient", "-flop"))
		m.Close()
	}
}
