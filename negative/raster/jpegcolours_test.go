package raster_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// profiled puts a profile of no meaning into a JPEG file, without which inks are
// refused.
func profiled(file []byte) []byte {
	p := segment(0xe2, []byte("ICC_PROFILE\x00\x01\x01profile"))
	return append(append(bytes.Clone(file[:2]), p...), file[2:]...)
}

// withoutSegment leaves out the segments with a marker.
func withoutSegment(file []byte, marker byte) []byte {
	out := bytes.Clone(file[:2])
	for at := 2; ; {
		n := 2 + int(binary.BigEndian.Uint16(file[at+2:]))
		if file[at+1] == 0xda {
			return append(out, file[at:]...)
		}
		if file[at+1] != marker {
			out = append(out, file[at:at+n]...)
		}
		at += n
	}
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// samplesOf is what ImageMagick finds in a file: 8-bit samples in its words gray, rgb
// or cmyk, where cmyk 255 is full ink.
func samplesOf(t *testing.T, path, kind string, channels int) pixels {
	t.Helper()
	data := outside.Run(t, "convert", "imagemagick", path, "-depth", "8", kind+":-")
	size := bytes.Fields(outside.Run(t, "identify", "imagemagick", "-format", "%w %h", path))
	number := func(b []byte) (n int) {
		for _, c := range b {
			n = 10*n + int(c-'0')
		}
		return n
	}
	w, h := number(size[0]), number(size[1])
	return paint(w, h, channels, func(x, y, c int) uint16 { return uint16(data[(y*w+x)*channels+c]) * 257 })
}

// TestJPEGColours holds what we see in files of libjpeg, made through ImageMagick
// and libvips, against what ImageMagick sees in them: within 3 of 255 where no
// chroma is left out, for two inverse cosine transforms may round differently
// before the colours are converted.
func TestJPEGColours(t *testing.T) {
	photo := "../../testdata/photos/amphitheatre.jpg"
	crop := []string{photo, "-crop", "203x151+100+100", "+repage", "-strip", "-sampling-factor", "1x1", "-quality", "92"}
	made := func(name string, more ...string) string {
		return convert(t, name, append(slices.Clone(crop), more...)...)
	}
	for name, c := range map[string]struct {
		path     string
		kind     string
		channels int
	}{
		"grey":             {made("a.jpg", "-colorspace", "Gray"), "gray", 1},
		"grey progressive": {made("a.jpg", "-colorspace", "Gray", "-interlace", "JPEG"), "gray", 1},
		"YCbCr":            {made("a.jpg"), "rgb", 3},
		"progressive":      {made("a.jpg", "-interlace", "JPEG"), "rgb", 3},
		"Adobe CMYK":       {made("a.jpg", "-colorspace", "CMYK"), "cmyk", 4},
		"CMYK progressive": {made("a.jpg", "-colorspace", "CMYK", "-interlace", "JPEG"), "cmyk", 4},
	} {
		file := readFile(t, c.path)
		if c.channels == 4 {
			file = profiled(file)
		}
		s := memorySource(t, file)
		if h := s.Header(); h.Channels != c.channels || (h.Space == raster.Inks) != (c.channels == 4) || h.Bits != 8 {
			t.Errorf("%s: %+v", name, h)
		}
		near(t, name, read(t, s), samplesOf(t, c.path, c.kind, c.channels), 3*257)
	}
}

// TestJPEGSubsampled: what repeating chroma costs against libjpeg's interpolation
// is small in the mean.
func TestJPEGSubsampled(t *testing.T) {
	for _, factor := range []string{"2x1", "2x2", "1x2", "4x1"} {
		path := convert(t, "a.jpg", "../../testdata/photos/amphitheatre.jpg", "-crop", "203x151+100+100", "+repage", "-strip", "-sampling-factor", factor, "-quality", "92")
		_, got := open(t, path)
		want := samplesOf(t, path, "rgb", 3)
		sum := 0.0
		for y, row := range want.rows {
			for i, v := range row {
				d := float64(got.rows[y][i]) - float64(v)
				sum += max(d, -d) / 257
			}
		}
		if mean := sum / float64(3*want.width*want.height); mean > 0.6 {
			t.Errorf("%s: differs by %.2f of 255 in the mean", factor, mean)
		}
	}
}

// TestJPEGKindsOfFour: the samples of one file of four components, read as the
// Adobe segment says or as its absence does. ITU-T T.81 says nothing of colours;
// that such files are inverted, and others are not, is common practice.
func TestJPEGKindsOfFour(t *testing.T) {
	path := convert(t, "a.jpg", "xc:cmyk(51,102,204,25)", "-sample", "16x16!", "-quality", "100")
	file := profiled(readFile(t, path))
	at := bytes.Index(file, []byte("Adobe"))
	if at < 0 {
		t.Fatal("ImageMagick wrote no Adobe segment")
	}
	with := func(transform byte) []byte {
		out := bytes.Clone(file)
		out[at+11] = transform
		return out
	}
	first := func(file []byte) [4]byte {
		row := read(t, memorySource(t, file)).rows[3]
		return [4]byte{byte(row[0]), byte(row[1]), byte(row[2]), byte(row[3])}
	}
	stored := first(withoutSegment(with(0), 0xee))
	inverted := first(with(0))
	for i := range 4 {
		if stored[i] != ^inverted[i] {
			t.Errorf("without the segment %v, with it %v", stored, inverted)
		}
	}
	// YCCK: luma and chroma give the complements of the inks as files hold them.
	r, g, b := color.YCbCrToRGB(stored[0], stored[1], stored[2])
	want := [4]byte{r, g, b, ^stored[3]}
	got := first(with(2))
	for i := range 4 {
		if d := int(got[i]) - int(want[i]); d > 1 || d < -1 {
			t.Errorf("as YCCK %v, want %v", got, want)
		}
	}
}

// TestJPEGKindsOfThree: an Adobe segment without transform, or components named
// R, G, B, are red, green and blue; JFIF never is.
func TestJPEGKindsOfThree(t *testing.T) {
	m := image.NewYCbCr(image.Rect(0, 0, 16, 16), image.YCbCrSubsampleRatio444)
	for i := range m.Y {
		m.Y[i], m.Cb[i], m.Cr[i] = 120, 60, 200
	}
	plain := makeJPEG(t, m)
	named := bytes.Clone(plain)
	for i, at := 0, bytes.Index(plain, []byte{0xff, 0xc0})+10; i < 3; i++ {
		named[at+3*i] = "RGB"[i]
	}
	for i, at := 0, bytes.Index(plain, []byte{0xff, 0xda})+5; i < 3; i++ {
		named[at+2*i] = "RGB"[i]
	}
	adobe := func(transform byte) []byte {
		return segment(0xee, append([]byte("Adobe\x00\x64\x00\x00\x00\x00"), transform))
	}
	jfif := segment(0xe0, []byte("JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00"))
	r, g, b := color.YCbCrToRGB(120, 60, 200)
	ycc, rgb := [3]byte{r, g, b}, [3]byte{120, 60, 200}
	put := func(file []byte, segments ...[]byte) []byte {
		return append(append(bytes.Clone(file[:2]), bytes.Join(segments, nil)...), file[2:]...)
	}
	for name, c := range map[string]struct {
		file []byte
		want [3]byte
	}{
		"nothing": {plain, ycc}, "Adobe 1": {put(plain, adobe(1)), ycc}, "Adobe 0": {put(plain, adobe(0)), rgb},
		"names": {named, rgb}, "names and Adobe 1": {put(named, adobe(1)), ycc}, "JFIF and names": {put(named, jfif), ycc}, "JFIF and Adobe 0": {put(plain, jfif, adobe(0)), ycc},
	} {
		row := read(t, memorySource(t, c.file)).rows[7]
		for i, want := range c.want {
			if d := int(row[i]/257) - int(want); d > 1 || d < -1 {
				t.Errorf("%s: %v, want %v", name, row[:3], c.want)
				break
			}
		}
	}
}

// TestJPEGForks: readers of one picture share it and give the same rows, each from
// where it likes, at the same time.
func TestJPEGForks(t *testing.T) {
	file := makeJPEG(t, greySlope())
	s := memorySource(t, file)
	want := read(t, memorySource(t, file))
	first, ok := s.(raster.Forker)
	if !ok {
		t.Fatal("a held picture cannot be forked")
	}
	var wait sync.WaitGroup
	for y := range 4 {
		f, err := first.Fork()
		if err != nil {
			t.Fatal(err)
		}
		wait.Go(func() {
			defer f.Close()
			if err := f.SeekRow(y); err != nil {
				t.Error(err)
				return
			}
			band := raster.NewBand(f.Header(), 1)
			if _, err := f.ReadRows(background, band); err != nil {
				t.Error(err)
				return
			}
			for i, v := range want.rows[y] {
				if band[0][i] != v {
					t.Errorf("row %d differs", y)
					return
				}
			}
		})
	}
	wait.Wait()
	same(t, "the first reader", read(t, s), want)
}

// TestJPEGManyScans: scans of a few bytes that each cost a walk over the picture
// are counted.
func TestJPEGManyScans(t *testing.T) {
	path := convert(t, "a.jpg", "-size", "64x64", "gradient:", "-interlace", "JPEG")
	file := readFile(t, path)
	last := bytes.LastIndex(file, []byte{0xff, 0xda})
	scan := file[last : len(file)-2]
	for range 400 {
		file = append(file[:len(file)-2], append(bytes.Clone(scan), 0xff, 0xd9)...)
	}
	var f *raster.FormatError
	refused(t, "many scans", decode(file), &f, "more than 300 scans")
}

// TestJPEGTruncated: a picture cut anywhere after its header is refused, not
// filled with grey.
func TestJPEGTruncated(t *testing.T) {
	for _, more := range [][]string{{}, {"-interlace", "JPEG"}} {
		path := convert(t, "a.jpg", append([]string{"../../testdata/photos/amphitheatre.jpg", "-crop", "80x60+100+100", "+repage"}, more...)...)
		file := readFile(t, path)
		from := bytes.Index(file, []byte{0xff, 0xda})
		for _, part := range []float64{0.1, 0.5, 0.9, 0.99} {
			cut := from + 20 + int(part*float64(len(file)-from-20))
			var f *raster.FormatError
			refused(t, filepath.Base(path), decode(file[:cut]), &f, "picture data")
		}
	}
}
