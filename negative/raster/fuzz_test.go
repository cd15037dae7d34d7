package raster_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"runtime"
	"testing"

	"golang.org/x/image/tiff"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// most is the size of pictures that a fuzz run decodes.
const most = 1 << 18

// consume reads a file twice and checks what holds for every file: errors are
// for users, a header makes sense, and the second reading is like the first. It
// returns the picture, or false if the file is refused or large.
func consume(t *testing.T, file []byte) (raster.Header, pixels, bool) {
	s, err := raster.NewSource(bytes.NewReader(file), int64(len(file)), "fuzz")
	if err != nil {
		forUsers(t, err)
		return raster.Header{}, pixels{}, false
	}
	defer s.Close()
	h := s.Header()
	if h.Width < 1 || h.Height < 1 || h.Channels != channelsOf(h) || h.Orientation < 1 || h.Orientation > 8 || h.BandRows < 1 || h.HeldBytes < 0 {
		t.Fatalf("header %+v", h)
	}
	if h.Width*h.Height > most {
		return h, pixels{}, false
	}
	first, err := all(s)
	if err := s.Restart(); err != nil {
		t.Fatal(err)
	}
	second, again := all(s)
	if (err == nil) != (again == nil) {
		t.Fatalf("first %v, then %v", err, again)
	}
	same(t, "read again", second, first)
	jump(t, s, first)
	if err != nil {
		forUsers(t, err)
	}
	return h, first, err == nil
}

// channelsOf is what a header's space asks for.
func channelsOf(h raster.Header) int {
	switch {
	case h.Space == raster.Inks:
		return 4
	case h.Space == raster.Lightness || h.Channels == 1:
		return 1
	}
	return 3
}

// jump reads the rows of want from the middle, and then from the top, by another
// reader where there can be one.
func jump(t *testing.T, s raster.Source, want pixels) {
	if f, ok := s.(raster.Forker); ok {
		fork, err := f.Fork()
		if err != nil {
			t.Fatal(err)
		}
		defer fork.Close()
		s = fork
	}
	seeker, ok := s.(raster.RowSeeker)
	if !ok || len(want.rows) == 0 {
		return
	}
	for _, y := range []int{len(want.rows) / 2, len(want.rows) - 1, 0} {
		if err := seeker.SeekRow(y); err != nil {
			t.Fatal(err)
		}
		band := raster.NewBand(s.Header(), min(3, len(want.rows)-y))
		n, err := s.ReadRows(context.Background(), band)
		if err != nil {
			t.Fatalf("row %d alone: %v", y, err)
		}
		same(t, "from a row on", pixels{want.width, n, want.channels, band[:n]}, pixels{want.width, n, want.channels, want.rows[y : y+n]})
	}
}

// frugal reads a file and holds that it takes little more memory than its header
// says: a little per byte of the file besides, for directories and profiles.
func frugal(t *testing.T, file []byte) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	s, err := raster.NewSource(bytes.NewReader(file), int64(len(file)), "fuzz")
	most := int64(1<<20 + 64*len(file))
	if err == nil {
		h := s.Header()
		most += 4*h.HeldBytes + 8*int64(h.RowSamples())
		band := raster.NewBand(h, 1)
		for rows := 0; rows < 64 && err == nil; rows++ {
			_, err = s.ReadRows(context.Background(), band)
		}
		s.Close()
	}
	runtime.ReadMemStats(&after)
	if took := int64(after.TotalAlloc - before.TotalAlloc); took > most {
		t.Fatalf("took %d bytes, expected at most %d", took, most)
	}
}

func forUsers(t *testing.T, err error) {
	var f *fault.Error
	if !errors.As(err, &f) || f.File != "fuzz" || f.What == "" || f.Hint == "" {
		t.Fatalf("%#v is not for users", err)
	}
}

// all returns the rows up to the end or the first error.
func all(s raster.Source) (pixels, error) {
	h := s.Header()
	p := pixels{width: h.Width, height: h.Height, channels: h.Channels}
	for {
		band := raster.NewBand(h, 5)
		n, err := s.ReadRows(context.Background(), band)
		p.rows = append(p.rows, band[:n]...)
		if err == io.EOF {
			return p, nil
		}
		if err != nil {
			return p, err
		}
	}
}

func FuzzTIFF(f *testing.F) {
	for _, tags := range [][]tag{plain(), with(plain(), longs(rowsPerStrip, 1), longs(stripOffsets, 16, 12, 8), longs(stripByteCounts, 4, 4, 4)),
		with(plain(), longs(tileWidth, 16), longs(tileLength, 16), longs(tileOffsets, 8), longs(tileCounts, 12), shorts(compression, 32773)),
		with(plain(), longs(width, 2), longs(height, 1), shorts(bits, 8, 8, 8, 8), shorts(photometric, 2), shorts(samplesPerPixel, 4), shorts(extraSample, 1), longs(stripByteCounts, 8)),
		with(plain(), longs(width, 2), longs(height, 1), shorts(photometric, 2), shorts(samplesPerPixel, 3), shorts(planar, 2), longs(stripOffsets, 8, 10, 12), longs(stripByteCounts, 2, 2, 2)),
		with(plain(), longs(width, 1), longs(height, 2), shorts(photometric, 5), shorts(samplesPerPixel, 5), shorts(extraSample, 2), tag{34675, 7, []uint32{1, 2, 3, 4}}, longs(stripByteCounts, 10)),
		with(plain(), longs(width, 4), longs(height, 1), shorts(photometric, 9), shorts(samplesPerPixel, 3), longs(stripByteCounts, 12)),
		with(plain(), longs(width, 3), longs(height, 1), shorts(bits, 32), shorts(sampleFormat, 3)),
		with(plain(), longs(width, 5), longs(height, 3), shorts(bits, 2), shorts(photometric, 3), shorts(320, make([]uint32, 12)...)),
		with(plain(), longs(width, 8), longs(height, 1), shorts(bits, 12), shorts(266, 2)),
	} {
		f.Add(makeTIFF(binary.LittleEndian, twelve, tags))
		f.Add(makeTIFF(binary.BigEndian, twelve, tags))
	}
	for _, h := range []raster.Header{{Channels: 1, Bits: 8}, {Channels: 3, Bits: 16, PPIX: 360, PPIY: 360, Description: "a"}} {
		f.Add(sunk(f, h, func(w io.WriteSeeker, h raster.Header) (raster.Sink, error) { return raster.NewTIFF(w, h, nil) }))
	}
	for _, m := range []image.Image{greySlope(), image.NewNRGBA(image.Rect(0, 0, 7, 5)), image.NewRGBA64(image.Rect(0, 0, 7, 5))} {
		var b bytes.Buffer
		if err := tiff.Encode(&b, m, &tiff.Options{Compression: tiff.Deflate, Predictor: true}); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		consume(t, file)
		frugal(t, file)
	})
}

// sunk is a small file of one of this package's sinks.
func sunk(f *testing.F, h raster.Header, begin func(io.WriteSeeker, raster.Header) (raster.Sink, error)) []byte {
	p := paint(9, 6, h.Channels, slope)
	h.Width, h.Height = p.width, p.height
	w := &memory{}
	s, err := begin(w, h)
	if err != nil {
		f.Fatal(err)
	}
	if err := s.WriteRows(background, p.rows); err != nil {
		f.Fatal(err)
	}
	if err := s.Commit(); err != nil {
		f.Fatal(err)
	}
	return w.b
}

// FuzzPNG compares with the standard library where both read a file that has no
// transparency, which the library may keep apart.
func FuzzPNG(f *testing.F) {
	f.Add(makePNG(ihdr(10, 1, 1, 0, 0), idat(0, 0b10110001, 0b01000000)))
	f.Add(makePNG(ihdr(3, 1, 2, 3, 0), chunk{"PLTE", []byte{1, 2, 3, 100, 0, 200, 9, 9, 9}}, chunk{"tRNS", []byte{255, 51, 0}}, idat(0, 0b00011000)))
	f.Add(makePNG(ihdr(3, 5, 8, 0, 0), chunk{"pHYs", make([]byte, 9)}, chunk{"iCCP", []byte("n\x00\x00\x78\x9c")}, idat(0, 10, 20, 30, 1, 5, 5, 5, 2, 1, 1, 1, 3, 3, 3, 3, 4, 1, 1, 1)))
	f.Add(makePNG(ihdr(2, 2, 8, 0, 1), idat(0, 1, 0, 2, 0, 3, 4)))
	for _, m := range []image.Image{greySlope(), image.NewNRGBA64(image.Rect(0, 0, 5, 4)), image.NewPaletted(image.Rect(0, 0, 5, 4), color.Palette{color.White, color.Black})} {
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		h, p, ok := consume(t, file)
		if !ok || bytes.Contains(file, []byte("tRNS")) {
			return
		}
		m, err := png.Decode(bytes.NewReader(file))
		if err != nil {
			return
		}
		same(t, "against the library", p, onWhite(m, h.Channels))
	})
}

func FuzzJPEG(f *testing.F) {
	colours := image.NewYCbCr(image.Rect(0, 0, 17, 9), image.YCbCrSubsampleRatio420)
	f.Add(makeJPEG(f, greySlope()))
	f.Add(makeJPEG(f, colours, exif(shorts(orientation, 6)), segment(0xe2, []byte("ICC_PROFILE\x00\x01\x01abc"))))
	f.Add([]byte("\xff\xd8\xff\xc2\x00\x0b\x08\x00\x08\x00\x08\x01\x01\x11\x00\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00"))
	f.Fuzz(func(t *testing.T, file []byte) { consume(t, file) })
}
