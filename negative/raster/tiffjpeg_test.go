package raster

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

// directory is what a little-endian classic TIFF file says under its tags: a
// reader of the test's own, for files of libtiff and libvips.
func directory(t *testing.T, path string) (data []byte, tags map[int][]int) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	little := binary.LittleEndian
	if !bytes.HasPrefix(data, []byte("II*\x00")) {
		t.Fatalf("%s is not a little-endian classic TIFF file", path)
	}
	tags = map[int][]int{}
	at := int(little.Uint32(data[4:]))
	for i := range int(little.Uint16(data[at:])) {
		e := data[at+2+12*i:]
		size := map[uint16]int{1: 1, 3: 2, 4: 4, 7: 1}[little.Uint16(e[2:])]
		count := int(little.Uint32(e[4:]))
		from := e[8:]
		if size*count > 4 {
			from = data[little.Uint32(e[8:]):]
		}
		for k := range count {
			v := 0
			for b := range size {
				v |= int(from[k*size+b]) << (8 * b)
			}
			tags[int(little.Uint16(e))] = append(tags[int(little.Uint16(e))], v)
		}
	}
	return data, tags
}

func one(tags map[int][]int, tag, otherwise int) int {
	if v := tags[tag]; len(v) > 0 {
		return v[0]
	}
	return otherwise
}

// blocks are the strips or tiles of a file.
func blocks(data []byte, tags map[int][]int) (out [][]byte) {
	offsets, counts := tags[273], tags[279]
	if tags[324] != nil {
		offsets, counts = tags[324], tags[325]
	}
	for i, at := range offsets {
		out = append(out, data[at:at+counts[i]])
	}
	return out
}

// decodeAll puts the blocks of a JPEG-compressed file together.
func decodeAll(t *testing.T, path string) (pix []byte, pixels, samples int) {
	t.Helper()
	data, tags := directory(t, path)
	width, height := one(tags, 256, 0), one(tags, 257, 0)
	samples = one(tags, 277, 1)
	across, down := one(tags, 322, width), one(tags, 323, one(tags, 278, height))
	var tables []byte
	for _, v := range tags[347] {
		tables = append(tables, byte(v))
	}
	perBlock := samples
	if one(tags, 284, 1) == 2 {
		perBlock = 1
	}
	pix = make([]byte, width*height*samples)
	each := (width + across - 1) / across * ((height + down - 1) / down)
	for i, block := range blocks(data, tags) {
		plane, n := i/each, i%each
		x0, y0 := n%((width+across-1)/across)*across, n/((width+across-1)/across)*down
		rows := down
		if tags[322] == nil {
			rows = min(down, height-y0)
		}
		dst := make([]byte, rows*across*perBlock)
		if err := decodeTIFFJPEG(tables, block, one(tags, 262, 0) == 6, across, rows, perBlock, dst); err != nil {
			t.Fatalf("%s, block %d: %v", path, i, err)
		}
		for y := y0; y < min(y0+rows, height); y++ {
			for x := x0; x < min(x0+across, width); x++ {
				for c := range perBlock {
					pix[(y*width+x)*samples+plane+c] = dst[((y-y0)*across+x-x0)*perBlock+c]
				}
			}
		}
	}
	return pix, width * height, samples
}

// plane takes interleaved samples apart.
func plane(pix []byte, pixels, samples int) []byte {
	out := make([]byte, len(pix))
	for i, v := range pix {
		out[i%samples*pixels+i/samples] = v
	}
	return out
}

// TestTIFFJPEGAgainstLibtiff decodes blocks that libtiff and libvips (which has
// libtiff below it) wrote, and holds them against what libtiff decodes: the same
// to 1 of 255, for two inverse cosine transforms may round differently, and to
// what repeating chroma in place of interpolating it costs.
func TestTIFFJPEGAgainstLibtiff(t *testing.T) {
	dir := t.TempDir()
	file := func(name string) string { return filepath.Join(dir, name) }
	vips := func(args ...string) { outside.Run(t, "vips", "libvips-tools", args...) }
	tiffcp := func(args ...string) { outside.Run(t, "tiffcp", "libtiff-tools", args...) }
	vips("crop", "../../testdata/photos/amphitheatre.jpg", file("part.tif"), "100", "100", "250", "180")
	vips("colourspace", file("part.tif"), file("grey.tif"), "b-w")
	outside.Run(t, "convert", "imagemagick", file("part.tif"), "-colorspace", "CMYK", "-compress", "none", file("cmyk.tif"))
	tiffcp("-c", "jpeg:90", "-r", "16", file("part.tif"), file("ycbcr.tif"))
	tiffcp("-c", "jpeg:r:90", file("part.tif"), file("rgb.tif"))
	tiffcp("-c", "jpeg:r:90", "-p", "separate", "-r", "64", file("part.tif"), file("planes.tif"))
	tiffcp("-c", "jpeg:r:90", "-r", "32", file("cmyk.tif"), file("inks.tif"))
	tiffcp("-c", "jpeg:80", "-r", "32", file("grey.tif"), file("greys.tif"))
	tiffcp("-c", "jpeg:90", "-t", "-w", "64", "-l", "32", file("part.tif"), file("tiles.tif"))
	vips("tiffsave", file("part.tif"), file("vips.tif"), "--compression", "jpeg", "--Q", "75", "--tile", "--tile-width", "64", "--tile-height", "64")
	vips("tiffsave", file("part.tif"), file("vips444.tif"), "--compression", "jpeg", "--Q", "95")
	for _, c := range []struct {
		name       string
		most, mean float64 // of 255
	}{
		{"rgb.tif", 1, 0.1}, {"planes.tif", 1, 0.1}, {"inks.tif", 1, 0.1}, {"greys.tif", 1, 0.1}, {"vips444.tif", 1, 0.1},
		{"ycbcr.tif", 25, 0.4}, {"tiles.tif", 25, 0.4}, {"vips.tif", 25, 0.4},
	} {
		got, pixels, samples := decodeAll(t, file(c.name))
		if c.name == "planes.tif" { // libtiff does not put them together
			tiffcp("-c", "none", file(c.name), file("plain.tif"))
			got = plane(got, pixels, samples)
		} else {
			tiffcp("-c", "none", "-s", "-p", "contig", file(c.name), file("plain.tif"))
		}
		data, tags := directory(t, file("plain.tif"))
		want := bytes.Join(blocks(data, tags), nil)
		if len(got) != len(want) {
			t.Errorf("%s: %d samples, want %d", c.name, len(got), len(want))
			continue
		}
		most, sum := 0.0, 0.0
		for i := range got {
			d := max(float64(got[i])-float64(want[i]), float64(want[i])-float64(got[i]))
			most, sum = max(most, d), sum+d
		}
		if mean := sum / float64(len(got)); most > c.most || mean > c.mean {
			t.Errorf("%s: differs by %.0f at most and %.3f in the mean, want %.0f and %.3f", c.name, most, mean, c.most, c.mean)
		}
	}
}

func TestTIFFJPEGRefuses(t *testing.T) {
	const frame = "\xff\xc0\x00\x0b\x08\x00\x10\x00\x10\x01\x01\x11\x00" // 16 x 16, grey
	const scan = "\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00"
	var f *FormatError
	for name, c := range map[string]struct {
		tables, block string
		what          string
	}{
		"no marker":            {"", "abcdef", "does not begin"},
		"empty":                {"", "", "does not begin"},
		"tables of nothing":    {"abc", "\xff\xd8" + frame + scan, "JPEGTables (tag 347): do not begin"},
		"a picture for tables": {"\xff\xd8" + frame + scan + "\xff\xd9", "\xff\xd8" + frame + scan, "hold a picture"},
		"too wide":             {"", "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x10\x00\x18\x01\x01\x11\x00" + scan, "claims 24 x 16 pixels, expected 16 x 16"},
		"much too tall":        {"", "\xff\xd8\xff\xc0\x00\x0b\x08\xff\xff\x00\x10\x01\x01\x11\x00" + scan, "claims 16 x 65535 pixels"},
		"too short":            {"", "\xff\xd8\xff\xc0\x00\x0b\x08\x00\x08\x00\x10\x01\x01\x11\x00" + scan, "claims 16 x 8 pixels"},
		"components":           {"", "\xff\xd8\xff\xc0\x00\x11\x08\x00\x10\x00\x10\x03\x01\x11\x00\x02\x11\x00\x03\x11\x00" + scan, "has 3 components, expected 1"},
		"no data":              {"", "\xff\xd8" + frame + scan, "picture data"},
	} {
		err := decodeTIFFJPEG([]byte(c.tables), []byte(c.block), false, 16, 16, 1, make([]byte, 256))
		if !errors.As(err, &f) || !bytes.Contains([]byte(err.Error()), []byte(c.what)) {
			t.Errorf("%s: %v, want %q", name, err, c.what)
		}
	}
}

// FuzzTIFFJPEG: any tables and block give rows or an error, and no more memory
// than a block's.
func FuzzTIFFJPEG(f *testing.F) {
	const tables = "\xff\xd8\xff\xdb\x00\x43\x00"
	f.Add([]byte(nil), []byte("\xff\xd8\xff\xc0\x00\x0b\x08\x00\x10\x00\x10\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00"), byte(1))
	f.Add([]byte(tables+"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef\xff\xd9"), []byte("\xff\xd8\xff\xc0\x00\x11\x08\x00\x10\x00\x10\x03\x01\x22\x00\x02\x11\x00\x03\x11\x00\xff\xda\x00\x0c\x03\x01\x00\x02\x00\x03\x00\x00\x3f\x00abc\xff\xd9"), byte(3))
	f.Add([]byte(nil), libraryBlock(f, image.NewGray(image.Rect(0, 0, 16, 16))), byte(0))
	f.Add([]byte(nil), libraryBlock(f, image.NewYCbCr(image.Rect(0, 0, 16, 16), image.YCbCrSubsampleRatio420)), byte(1))
	f.Fuzz(func(t *testing.T, tables, block []byte, samples byte) {
		n := []int{1, 3, 4}[samples%3]
		dst := make([]byte, 16*16*n)
		err := decodeTIFFJPEG(tables, block, samples&4 == 0, 16, 16, n, dst)
		var broken *FormatError
		var not *UnsupportedError
		if err != nil && !errors.As(err, &broken) && !errors.As(err, &not) {
			t.Errorf("%v is not for users", err)
		}
	})
}

// libraryBlock is a block of the standard library's encoder, its tables in it.
func libraryBlock(f *testing.F, m image.Image) []byte {
	var file bytes.Buffer
	if err := jpeg.Encode(&file, m, nil); err != nil {
		f.Fatal(err)
	}
	return file.Bytes()
}
