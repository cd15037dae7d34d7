package raster_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"actinic/negative/raster"
	"actinic/testdata/outside"
)

// sinkCases are pictures of every form that the sinks write.
func sinkCases() []sinkCase {
	var out []sinkCase
	for _, name := range []string{"x.tif", "x.png"} {
		for _, channels := range []int{1, 3} {
			out = append(out,
				sinkCase{name, 16, paint(61, 47, channels, grain)},
				sinkCase{name, 16, paint(64, 40, channels, slope)},
				sinkCase{name, 8, paint(61, 47, channels, grain8)},
				sinkCase{name, 8, paint(64, 40, channels, patches)},
				sinkCase{name, 16, paint(1, 1, channels, grain)},
				sinkCase{name, 16, paint(700, 260, channels, grain)}, // several strips
			)
		}
	}
	return out
}

type sinkCase struct {
	name string
	bits int
	p    pixels
}

func (c sinkCase) String() string {
	return fmt.Sprintf("%s %d bits %dx%dx%d", c.name, c.bits, c.p.width, c.p.height, c.p.channels)
}

func TestSinksComeBackExactly(t *testing.T) {
	for _, c := range sinkCases() {
		for _, comp := range []raster.Compression{raster.Deflate, raster.NoCompression} {
			path := write(t, c.name, c.p, raster.Header{Bits: c.bits}, &raster.TIFFOptions{Compression: comp})
			h, got := open(t, path)
			same(t, c.String(), got, c.p)
			if h.Bits != c.bits || h.PPIX != 0 || h.Profile != nil || h.Description != "" || h.Orientation != 1 {
				t.Errorf("%s: header %+v", c, h)
			}
		}
	}
}

// The decoders of x/image and the standard library are the oracle.
func TestSinksAgainstLibraries(t *testing.T) {
	for _, c := range sinkCases() {
		raw := content(t, write(t, c.name, c.p, raster.Header{Bits: c.bits, PPIX: 360, PPIY: 360, Description: "x"}, nil))
		decode := tiff.Decode
		if filepath.Ext(c.name) == ".png" {
			decode = png.Decode
		}
		m, err := decode(bytes.NewReader(raw))
		if err != nil {
			t.Errorf("%s: %v", c, err)
			continue
		}
		same(t, c.String(), fromImage(m, c.p.channels), c.p)
	}
}

func fromImage(m image.Image, channels int) pixels {
	b := m.Bounds()
	return paint(b.Dx(), b.Dy(), channels, func(x, y, c int) uint16 {
		if channels == 1 {
			return color.Gray16Model.Convert(m.At(x, y)).(color.Gray16).Y
		}
		r, g, bl, _ := m.At(x, y).RGBA()
		return uint16([3]uint32{r, g, bl}[c])
	})
}

// Two programs from outside decode the same pixels.
func TestSinksAgainstImageMagick(t *testing.T) {
	for _, c := range sinkCases() {
		path := write(t, c.name, c.p, raster.Header{Bits: c.bits, PPIX: 300, PPIY: 300}, nil)
		form := map[int]string{1: "gray:-", 3: "rgb:-"}[c.p.channels]
		raw := outside.Run(t, "convert", "imagemagick", path, "-depth", "16", "-endian", "MSB", form)
		if want := c.p.width * c.p.height * c.p.channels * 2; len(raw) != want {
			t.Fatalf("%s: convert gave %d bytes, want %d", c, len(raw), want)
		}
		got := paint(c.p.width, c.p.height, c.p.channels, func(x, y, ch int) uint16 {
			at := 2 * ((y*c.p.width+x)*c.p.channels + ch)
			return uint16(raw[at])<<8 | uint16(raw[at+1])
		})
		same(t, c.String(), got, c.p)
	}
}

func TestTIFFFieldsAgainstLibtiff(t *testing.T) {
	h := raster.Header{Bits: 16, PPIX: 360, PPIY: 299.72, Description: "negative of a boat"}
	out := string(outside.Run(t, "tiffinfo", "libtiff-tools", "-s", write(t, "x.tif", paint(700, 260, 3, grain), h, nil)))
	for _, want := range []string{
		"Image Width: 700 Image Length: 260", "Resolution: 360, 299.72 pixels/inch", "Bits/Sample: 16",
		"Compression Scheme: AdobeDeflate", "Photometric Interpretation: RGB color", "Orientation: row 0 top, col 0 lhs",
		"Samples/Pixel: 3", "Rows/Strip: 62", "Planar Configuration: single image plane", "ImageDescription: negative of a boat",
		"Software: actinic", "Predictor: horizontal differencing", "5 Strips",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("tiffinfo does not say %q", want)
		}
	}
	if strings.Contains(out, "Warning") || strings.Contains(out, "ICC") || t.Failed() {
		t.Errorf("tiffinfo:\n%s", out)
	}
	out = string(outside.Run(t, "tiffinfo", "libtiff-tools", write(t, "x.tif", paint(5, 5, 1, grain8), raster.Header{Bits: 8}, &raster.TIFFOptions{Compression: raster.NoCompression})))
	if !strings.Contains(out, "min-is-black") || !strings.Contains(out, "Compression Scheme: None") || strings.Contains(out, "Resolution") {
		t.Errorf("tiffinfo:\n%s", out)
	}
}

func TestHeadersComeBack(t *testing.T) {
	for _, name := range []string{"x.tif", "x.png"} {
		for _, text := range []string{"film 1, Größe 8 x 10", "影 and more", "a \"quoted\" line"} {
			want := raster.Header{Bits: 16, PPIX: 360, PPIY: 720, Description: text}
			h, _ := open(t, write(t, name, paint(3, 2, 1, grain), want, nil))
			if h.Description != text || h.PPIX != 360 || h.PPIY != 720 {
				t.Errorf("%s: %q at %v x %v ppi, want %q at 360 x 720", name, h.Description, h.PPIX, h.PPIY, text)
			}
		}
	}
}

func TestBytesDoNotDependOnJobsOrBands(t *testing.T) {
	p := paint(700, 700, 3, grain)
	for y := 300; y < 500; y++ {
		copy(p.rows[y], make([]uint16, 2100)) // flat strips among grainy ones
	}
	var want []byte
	for _, jobs := range []int{1, 2, 7} {
		for _, band := range []int{1, 13, 700} {
			var f memory
			s, err := raster.NewTIFF(&f, raster.Header{Width: 700, Height: 700, Channels: 3, Bits: 16, PPIX: 360, PPIY: 360}, &raster.TIFFOptions{Jobs: jobs})
			if err != nil {
				t.Fatal(err)
			}
			for y := 0; y < 700; y += band {
				if err := s.WriteRows(background, p.rows[y:min(y+band, 700)]); err != nil {
					t.Fatal(err)
				}
			}
			if err := s.Commit(); err != nil {
				t.Fatal(err)
			}
			if want == nil {
				want = f.b
			}
			if !bytes.Equal(f.b, want) {
				t.Errorf("jobs %d, band %d: other bytes", jobs, band)
			}
		}
	}
}

// String matching stores grain as it is, Huffman codes leave 14 % of flat
// patches: one way of packing cannot do both.
func TestEachStripIsPackedTheBetterWay(t *testing.T) {
	size := func(at func(x, y, c int) uint16) float64 {
		info, err := os.Stat(write(t, "x.tif", paint(512, 512, 1, at), raster.Header{Bits: 16}, nil))
		if err != nil {
			t.Fatal(err)
		}
		return float64(info.Size()) / (512 * 512 * 2)
	}
	if got := size(patches); got > 0.02 {
		t.Errorf("flat patches take %.0f %% of their samples", 100*got)
	}
	random := rand.New(rand.NewPCG(1, 2))
	noisy := func(x, y, c int) uint16 { return 30000 + slope(x, y, c)/16 + uint16(int(300*random.NormFloat64())) }
	if got := size(noisy); got > 0.85 {
		t.Errorf("a grainy picture takes %.0f %% of its samples", 100*got)
	}
}

func TestEightBitSinksRound(t *testing.T) {
	in := paint(512, 1, 1, func(x, _, _ int) uint16 { return uint16(x * 128) })
	want := paint(512, 1, 1, func(x, _, _ int) uint16 { return uint16((x*128+128)/257) * 257 })
	for _, name := range []string{"x.tif", "x.png"} {
		_, got := open(t, write(t, name, in, raster.Header{Bits: 8}, nil))
		same(t, name, got, want)
	}
}

func TestSinksRefuseAnUnfinishedFile(t *testing.T) {
	for _, sink := range []func(io.WriteSeeker, raster.Header) (raster.Sink, error){
		func(w io.WriteSeeker, h raster.Header) (raster.Sink, error) { return raster.NewTIFF(w, h, nil) },
		func(w io.WriteSeeker, h raster.Header) (raster.Sink, error) { return raster.NewPNG(w, h, nil) },
	} {
		var f memory
		s, err := sink(&f, raster.Header{Width: 3, Height: 2, Channels: 1, Bits: 16})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.WriteRows(background, [][]uint16{{1, 2, 3}}); err != nil {
			t.Fatal(err)
		}
		cancelled, cancel := context.WithCancel(background)
		cancel()
		if err := s.WriteRows(cancelled, [][]uint16{{1, 2, 3}}); !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled: %v", err)
		}
		if err := s.Commit(); err == nil || !strings.Contains(err.Error(), "1 of 2 rows") {
			t.Errorf("Commit: %v", err)
		}
		if src, err := raster.NewSource(bytes.NewReader(f.b), int64(len(f.b)), "x"); err == nil {
			if _, err := src.ReadRows(background, raster.NewBand(src.Header(), 2)); err == nil {
				t.Error("what was aborted can be read")
			}
		}
	}
}

func TestSinkErrorsOfTheDiskComeBack(t *testing.T) {
	full := errors.New("disk full")
	for after := range 3 {
		w := &memory{fail: full, after: after}
		s, err := raster.NewTIFF(w, raster.Header{Width: 300, Height: 500, Channels: 3, Bits: 16}, nil)
		if err == nil {
			err = s.WriteRows(background, paint(300, 500, 3, grain).rows)
		}
		if err == nil {
			err = s.Commit()
		}
		if !errors.Is(err, full) {
			t.Errorf("after %d writes: %v", after, err)
		}
	}
}

func TestSinksRefuseHugePictures(t *testing.T) {
	_, err := raster.NewTIFF(&memory{}, raster.Header{Width: 1 << 21, Height: 1, Channels: 1, Bits: 8}, nil)
	var u *raster.UnsupportedError
	if !errors.As(err, &u) {
		t.Errorf("%v", err)
	}
}

func TestSinksRefuseHeadersTheyCannotWrite(t *testing.T) {
	good := raster.Header{Width: 1, Height: 1, Channels: 1, Bits: 8}
	for what, spoil := range map[string]func(*raster.Header){
		"channels":   func(h *raster.Header) { h.Channels = 4 },
		"bits":       func(h *raster.Header) { h.Bits = 12 },
		"profile":    func(h *raster.Header) { h.Profile = []byte{1} },
		"no pixels":  func(h *raster.Header) { h.Width = 0 },
		"turned":     func(h *raster.Header) { h.Orientation = 6 },
		"resolution": func(h *raster.Header) { h.PPIX = -1 },
	} {
		h := good
		spoil(&h)
		var f memory
		if _, err := raster.NewTIFF(&f, h, nil); err == nil || len(f.b) > 0 {
			t.Errorf("TIFF, %s: %v, %d bytes written", what, err, len(f.b))
		}
		if _, err := raster.NewPNG(&f, h, nil); err == nil || len(f.b) > 0 {
			t.Errorf("PNG, %s: %v, %d bytes written", what, err, len(f.b))
		}
	}
}

func TestSinksRefuseWrongRows(t *testing.T) {
	s, err := raster.NewTIFF(&memory{}, raster.Header{Width: 2, Height: 1, Channels: 1, Bits: 8}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.WriteRows(background, [][]uint16{{1}}); err == nil {
		t.Error("a short row was taken")
	}
	if err := s.WriteRows(background, [][]uint16{{1, 2}}); err != nil {
		t.Error(err)
	}
	if err := s.WriteRows(background, [][]uint16{{1, 2}}); err == nil {
		t.Error("a row below the last was taken")
	}
}

func TestPNGChunks(t *testing.T) {
	var f memory
	s, err := raster.NewPNG(&f, raster.Header{Width: 2, Height: 1, Channels: 3, Bits: 8, PPIX: 300, PPIY: 300, Description: "proof"}, &raster.PNGOptions{SRGB: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.WriteRows(background, paint(2, 1, 3, grain8).rows); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	var kinds []string
	for rest := f.b[8:]; len(rest) > 0; {
		n := int(binary.BigEndian.Uint32(rest))
		kinds = append(kinds, string(rest[4:8]))
		if sum := crc32.ChecksumIEEE(rest[4 : 8+n]); sum != binary.BigEndian.Uint32(rest[8+n:]) {
			t.Errorf("chunk %s: wrong checksum", rest[4:8])
		}
		rest = rest[12+n:]
	}
	// ISO/IEC 15948:2004, 5.6: IHDR first, sRGB and pHYs before IDAT, IEND last.
	got := strings.Join(kinds, " ")
	if !strings.HasPrefix(got, "IHDR sRGB pHYs ") || !strings.Contains(got, "tEXt") || !strings.HasSuffix(got, " IDAT IEND") {
		t.Errorf("chunks %s", got)
	}
	if plain := write(t, "x.png", paint(2, 1, 3, grain8), raster.Header{Bits: 8}, nil); bytes.Contains(content(t, plain), []byte("sRGB")) {
		t.Error("film is tagged")
	}
}

func content(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// memory is a file in memory that can fail after some writes.
type memory struct {
	b     []byte
	at    int
	fail  error
	after int
}

func (m *memory) Write(p []byte) (int, error) {
	if m.fail != nil {
		if m.after == 0 {
			return 0, m.fail
		}
		m.after--
	}
	if need := m.at + len(p); need > len(m.b) {
		m.b = append(m.b, make([]byte, need-len(m.b))...)
	}
	m.at += copy(m.b[m.at:], p)
	return len(p), nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	m.at = int(offset) + map[int]int{io.SeekStart: 0, io.SeekCurrent: m.at, io.SeekEnd: len(m.b)}[whence]
	return int64(m.at), nil
}
