package raster_test

import (
	"encoding/binary"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// magickRows returns the samples that ImageMagick finds in a file, 16 bits each,
// as one of its raw forms: "gray", "rgb" or "cmyk".
func magickRows(t *testing.T, path, form string, channels int, h raster.Header, args ...string) pixels {
	t.Helper()
	args = append(append([]string{path + "[0]"}, args...), "-depth", "16", "-endian", "MSB", form+":-")
	return rawRows(t, outside.Run(t, "convert", "imagemagick", args...), binary.BigEndian, channels, h)
}

// vipsRows returns the samples that libvips finds in a file: those of 16 bits,
// those of 8 bits times 257, or others times factor and rounded.
func vipsRows(t *testing.T, path, factor string, channels int, h raster.Header) pixels {
	t.Helper()
	dir := t.TempDir()
	scaled, whole, raw := filepath.Join(dir, "s.v"), filepath.Join(dir, "w.v"), filepath.Join(dir, "raw")
	if factor == "1" || factor == "257" {
		whole = path
	} else {
		outside.Run(t, "vips", "libvips-tools", "linear", path, scaled, factor, "0.5")
		outside.Run(t, "vips", "libvips-tools", "cast", scaled, whole, "ushort")
	}
	outside.Run(t, "vips", "libvips-tools", "rawsave", whole, raw)
	data := outside.File(t, raw, "libvips-tools")
	if factor != "257" {
		return rawRows(t, data, binary.NativeEndian, channels, h)
	}
	return expanded(h.Width, h.Height, channels, data)
}

func rawRows(t *testing.T, raw []byte, order binary.ByteOrder, channels int, h raster.Header) pixels {
	t.Helper()
	if len(raw) < 2*h.Width*h.Height*channels {
		t.Fatalf("%d bytes for %d x %d x %d samples", len(raw), h.Width, h.Height, channels)
	}
	return paint(h.Width, h.Height, channels, func(x, y, c int) uint16 {
		return order.Uint16(raw[2*((y*h.Width+x)*channels+c):])
	})
}

// tiffcp rewrites a file by libtiff's program.
func tiffcp(t *testing.T, from string, args ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "y.tif")
	outside.Run(t, "tiffcp", "libtiff-tools", append(args, from, out)...)
	return out
}

// vips runs an operation of libvips whose result is a TIFF file.
func vips(t *testing.T, operation, from string, args ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "v.tif")
	outside.Run(t, "vips", "libvips-tools", append([]string{operation, from, out}, args...)...)
	return out
}

// TestTIFFDepthsOfImageMagick reads whole numbers of all depths that
// ImageMagick packs, floating-point ones, palettes, inks and L*a*b*, and
// compares with what it says itself.
func TestTIFFDepthsOfImageMagick(t *testing.T) {
	const inks = "/usr/share/color/icc/ghostscript/ps_cmyk.icc"
	outside.File(t, inks, "libgs-common")
	rgb, grey := pnm(t, paint(61, 43, 3, grain), 16), pnm(t, paint(61, 43, 1, grain), 16)
	float := []string{"-define", "quantum:format=floating-point"}
	for _, c := range []struct {
		in, form string
		channels int
		args     []string
	}{
		{grey, "gray", 1, []string{"-depth", "1"}}, {grey, "gray", 1, []string{"-depth", "2"}}, {rgb, "rgb", 3, []string{"-depth", "4"}},
		{grey, "gray", 1, []string{"-depth", "6", "-compress", "lzw"}}, {rgb, "rgb", 3, []string{"-depth", "10", "-compress", "none"}},
		{grey, "gray", 1, []string{"-depth", "12", "-compress", "none"}}, {rgb, "rgb", 3, []string{"-depth", "12", "-compress", "zip"}},
		{rgb, "rgb", 3, []string{"-depth", "12", "-endian", "msb"}}, {rgb, "rgb", 3, []string{"-depth", "14"}},
		{rgb, "rgb", 3, []string{"-depth", "32", "-compress", "none"}}, {rgb, "rgb", 3, []string{"-depth", "32", "-compress", "zip", "-define", "tiff:predictor=2", "-endian", "msb"}},
		{rgb, "rgb", 3, append([]string{"-depth", "16", "-compress", "zip"}, float...)}, {grey, "gray", 1, append([]string{"-depth", "32", "-compress", "lzw"}, float...)},
		{rgb, "rgb", 3, append([]string{"-depth", "32", "-compress", "lzw", "-endian", "msb"}, float...)}, {rgb, "rgb", 3, append([]string{"-depth", "64", "-compress", "zip"}, float...)},
		{rgb, "rgb", 3, append([]string{"-depth", "32", "-compress", "zip", "-define", "tiff:predictor=2"}, float...)},
		{rgb, "rgb", 3, append([]string{"-depth", "64", "-compress", "lzw", "-define", "tiff:predictor=2", "-endian", "msb"}, float...)},
		{rgb, "rgb", 3, []string{"-depth", "8", "-colors", "200", "-type", "Palette", "-compress", "lzw"}}, {rgb, "rgb", 3, []string{"-depth", "4", "-colors", "14", "-type", "Palette"}},
		{rgb, "rgb", 3, []string{"-depth", "2", "-colors", "4", "-type", "Palette"}}, {rgb, "rgb", 3, []string{"-depth", "1", "-colors", "2", "-type", "Palette"}},
		{rgb, "rgb", 3, []string{"-depth", "8", "-define", "tiff:fill-order=lsb", "-compress", "none"}},
		{rgb, "cmyk", 4, []string{"-colorspace", "CMYK", "-depth", "16", "-profile", inks}}, {rgb, "cmyk", 4, []string{"-colorspace", "CMYK", "-depth", "8", "-compress", "lzw", "-profile", inks}},
	} {
		name := fmt.Sprint(c.form, c.args)
		file := convert(t, "x.tif", append([]string{c.in}, c.args...)...)
		h, got := open(t, file)
		if h.Channels != c.channels {
			t.Errorf("%s: %d channels", name, h.Channels)
			continue
		}
		codes := 0
		if strings.Contains(name, "floating") {
			codes = 1 // ImageMagick rounds such values down or up
		}
		near(t, name, got, magickRows(t, file, c.form, c.channels, h), codes)
	}
	for _, depth := range []string{"8", "16"} {
		h, got := open(t, convert(t, "x.tif", rgb, "-colorspace", "Lab", "-depth", depth))
		if h.Space != raster.Lightness || h.Channels != 1 {
			t.Errorf("L*a*b* of %s bits: %+v", depth, h)
		}
		same(t, "L*a*b*, "+depth, got, magickRows(t, convert(t, "x.tif", rgb, "-colorspace", "Lab", "-depth", depth), "gray", 1, h, "-channel", "R", "-separate"))
	}
}

// TestTIFFsRewrittenByLibtiff reads the forms that libtiff's tiffcp makes of one
// picture, which is in all of them.
func TestTIFFsRewrittenByLibtiff(t *testing.T) {
	want := paint(83, 61, 3, grain)
	sixteen := convert(t, "x.tif", pnm(t, want, 16), "-depth", "16", "-compress", "none")
	eight := convert(t, "x.tif", pnm(t, paint(83, 61, 3, grain8), 8), "-depth", "8", "-compress", "none")
	grey := convert(t, "x.tif", pnm(t, paint(83, 61, 1, grain), 16), "-depth", "12", "-compress", "none")
	for _, form := range []string{
		"-8", "-8 -B", "-8 -L -c zip:2 -t -w 32 -l 16", "-8 -B -c lzw:2 -r 5", "-f lsb2msb -c none", "-f lsb2msb -c lzw:2", "-f lsb2msb -c zip", "-f lsb2msb -c packbits",
		"-c lzw -t -w 128 -l 128", "-c zip:2 -t -w 64 -l 128 -B", "-c lzw:2 -r 1",
	} {
		for _, in := range []string{sixteen, eight, grey} {
			_, before := open(t, in)
			if in == grey && strings.Contains(form, ":2") {
				form = strings.Replace(form, ":2", "", 1) // libtiff predicts 8, 16, 32 and 64 bits
			}
			h, got := open(t, tiffcp(t, in, strings.Fields(form)...))
			same(t, form, got, before)
			same(t, form+", by another reader", forked(t, tiffcp(t, in, strings.Fields(form)...)), before)
			if h.BandRows < 1 {
				t.Errorf("%s: %+v", form, h)
			}
		}
	}
	_, got := open(t, sixteen)
	same(t, "as it was", got, want)
}

// TestLZWOfLibtiff unpacks strings of all lengths: flat pictures give long ones,
// grain fills the table again and again.
func TestLZWOfLibtiff(t *testing.T) {
	flat := func(x, y, c int) uint16 { return uint16(y/90) * 257 }
	wide := func(x, y, c int) uint16 { return uint16(x/37%3+y/50) * 257 }
	for i, at := range []func(x, y, c int) uint16{flat, wide, patches, grain8, slope} {
		for _, form := range []string{"-r 1000", "-r 7", "-t -w 64 -l 64"} {
			want := paint(701, 301, 1, func(x, y, c int) uint16 { return at(x, y, c) / 257 * 257 })
			plain := convert(t, "x.tif", pnm(t, want, 8), "-depth", "8", "-compress", "none")
			_, got := open(t, tiffcp(t, plain, append([]string{"-c", "lzw"}, strings.Fields(form)...)...))
			same(t, fmt.Sprint(i, form), got, want)
			_, got = open(t, tiffcp(t, plain, append([]string{"-c", "packbits"}, strings.Fields(form)...)...))
			same(t, fmt.Sprint(i, form, " packbits"), got, want)
		}
	}
}

// TestTIFFsOfLibvips reads the forms that libvips writes, and compares with what
// it reads itself.
func TestTIFFsOfLibvips(t *testing.T) {
	rgb := convert(t, "x.tif", pnm(t, paint(150, 131, 3, grain), 16), "-depth", "16", "-compress", "none")
	rgb8 := convert(t, "x.tif", pnm(t, paint(150, 131, 3, grain8), 8), "-depth", "8", "-compress", "none")
	grey8 := convert(t, "x.tif", pnm(t, paint(150, 131, 1, grain8), 8), "-depth", "8", "-compress", "none")
	light, double := vips(t, "linear", rgb, "0.0000152590218967", "0"), vips(t, "cast", rgb, "double")
	whole := vips(t, "cast", vips(t, "linear", rgb, "65000", "0"), "uint")
	for _, c := range []struct{ in, form, factor string }{
		{rgb, "--tile --compression deflate", "1"}, {rgb, "--tile --tile-width 64 --tile-height 32 --bigtiff --compression lzw --predictor none", "1"},
		{rgb, "--tile --pyramid --compression deflate", "1"}, {rgb, "--tile --pyramid --subifd", "1"}, {rgb, "--bigtiff", "1"}, {rgb, "--compression packbits", "1"},
		{light, "--compression deflate --predictor float", "65535"}, {light, "--compression lzw --predictor float --tile --tile-width 48 --tile-height 64", "65535"},
		{light, "--compression deflate --predictor horizontal", "65535"}, {light, "", "65535"},
		{whole, "--compression lzw", "0.0000152587890661"}, {rgb8, "--tile --compression deflate", "257"},
		{grey8, "--bitdepth 1", "257"}, {grey8, "--bitdepth 2 --tile", "257"}, {grey8, "--bitdepth 4 --compression deflate --predictor none", "257"},
		{grey8, "--bitdepth 1 --miniswhite", "257"},
	} {
		file := vips(t, "tiffsave", c.in, strings.Fields(c.form)...)
		h, got := open(t, file)
		codes := 0
		if c.factor == "65535" || c.in == whole {
			codes = 1 // libvips scales in single precision
		}
		near(t, c.form, got, vipsRows(t, file, c.factor, h.Channels, h), codes)
	}
	if _, got := open(t, double); len(got.rows) != 131 || got.rows[5][7] != 65535 {
		t.Error("floating-point numbers far beyond white are not white")
	}
}

// TestJPEGInTIFF compares with what libvips decodes: without reduced chroma within
// 3 codes of 255, since inverse transforms and matrices round differently; with it
// within 6 on a smooth picture, since it interpolates chroma, and 13 where that
// reaches into what tiles have beyond the picture.
func TestJPEGInTIFF(t *testing.T) {
	smooth := func(x, y, c int) uint16 { return uint16(40+x/2+y*(c+1)/4) * 257 }
	rgb := convert(t, "x.tif", pnm(t, paint(150, 131, 3, smooth), 8), "-depth", "8", "-compress", "none")
	grey := convert(t, "x.tif", pnm(t, paint(150, 131, 1, smooth), 8), "-depth", "8", "-compress", "none")
	for _, c := range []struct {
		in, with, form string
		codes          int
		access         raster.Access
	}{
		{rgb, "vips", "--tile --compression jpeg --Q 95", 3, raster.Sequential}, {rgb, "vips", "--tile --compression jpeg --Q 80", 13, raster.Sequential},
		{rgb, "vips", "--compression jpeg --Q 92", 3, raster.Sequential}, {grey, "vips", "--tile --tile-width 32 --tile-height 32 --compression jpeg --Q 90", 1, raster.AnyRow},
		{rgb, "tiffcp", "-c jpeg:90 -r 16", 6, raster.AnyRow}, {rgb, "tiffcp", "-c jpeg:r:90 -r 16", 3, raster.AnyRow},
		{rgb, "tiffcp", "-c jpeg:r:90 -r 1000", 3, raster.Whole}, {grey, "tiffcp", "-c jpeg:90 -r 1000 -8", 1, raster.Whole},
		{rgb, "tiffcp", "-c jpeg:r:90 -t -w 160 -l 144", 3, raster.Whole},
	} {
		file := ""
		if c.with == "vips" {
			file = vips(t, "tiffsave", c.in, strings.Fields(c.form)...)
		} else {
			file = tiffcp(t, c.in, strings.Fields(c.form)...)
		}
		h, got := open(t, file)
		near(t, c.form, got, vipsRows(t, file, "257", h.Channels, h), c.codes*257)
		same(t, c.form+", by another reader", forked(t, file), got)
		if h.Access != c.access {
			t.Errorf("%s: access %d, want %d: %+v", c.form, h.Access, c.access, h)
		}
	}
}

// forked returns the picture as a fork reads it, from the middle on and then from
// the top; sequential pictures from the top.
func forked(t *testing.T, file string) pixels {
	t.Helper()
	s, err := raster.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f, ok := s.(raster.Forker)
	if !ok {
		return read(t, s)
	}
	fork, err := f.Fork()
	if err != nil {
		t.Fatal(err)
	}
	defer fork.Close()
	middle := s.Header().Height / 2
	if err := fork.SeekRow(middle); err != nil {
		t.Fatal(err)
	}
	below := read(t, fork)
	if err := fork.Restart(); err != nil {
		t.Fatal(err)
	}
	p := read(t, fork)
	copy(p.rows[middle:], below.rows)
	return p
}
