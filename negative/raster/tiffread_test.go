package raster_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"testing"

	"actinic/negative/raster"
)

// memorySource opens a file in memory.
func memorySource(t *testing.T, file []byte) raster.Source {
	t.Helper()
	s, err := raster.NewSource(bytes.NewReader(file), int64(len(file)), "x")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// The meaning of each field is that of TIFF 6.0 (1992); the pixels are worked
// out by hand.
func TestTIFFByHand(t *testing.T) {
	sixteen := []byte{0x01, 0x02, 0xff, 0xfe, 0x80, 0x00, 0x7f, 0xff}
	for _, c := range []struct {
		name string
		data []byte
		tags []tag
		want pixels
	}{
		{"grey", twelve, plain(), expanded(4, 3, 1, twelve)},
		{"strip rows absent", twelve, without(plain(), rowsPerStrip), expanded(4, 3, 1, twelve)},
		{"strip lengths absent", twelve, without(plain(), stripByteCounts), expanded(4, 3, 1, twelve)},
		{"samples a pixel absent", twelve, without(plain(), samplesPerPixel), expanded(4, 3, 1, twelve)},
		{"a tile wider than the picture", append(append(append([]byte{1, 2, 3, 4}, make([]byte, 12)...), 5, 6, 7, 8), make([]byte, 12)...),
			with(plain(), longs(height, 2), longs(tileWidth, 16), longs(tileLength, 2), longs(tileOffsets, 8), longs(tileCounts, 32)),
			expanded(4, 2, 1, []byte{1, 2, 3, 4, 5, 6, 7, 8})},
		{"white is zero", []byte{0, 1, 255, 7}, with(plain(), longs(width, 2), longs(height, 2), longs(rowsPerStrip, 2), longs(stripByteCounts, 4), shorts(photometric, 0)),
			expanded(2, 2, 1, []byte{255, 254, 0, 248})},
		{"three strips, last first", twelve, with(plain(), longs(rowsPerStrip, 1), longs(stripOffsets, 16, 12, 8), longs(stripByteCounts, 4, 4, 4)),
			expanded(4, 3, 1, []byte{252, 253, 254, 255, 127, 128, 129, 130, 0, 1, 2, 3})},
		{"16 bits big-endian", sixteen, with(plain(), longs(width, 2), longs(height, 2), shorts(bits, 16), longs(rowsPerStrip, 2), longs(stripByteCounts, 8)),
			paint(2, 2, 1, func(x, y, _ int) uint16 { return [4]uint16{0x0102, 0xfffe, 0x8000, 0x7fff}[2*y+x] })},
		{"RGB and a channel that means nothing", twelve[:8], with(plain(), longs(width, 2), longs(height, 1), shorts(bits, 8, 8, 8, 8), shorts(photometric, 2), shorts(samplesPerPixel, 4), shorts(extraSample, 0), longs(stripByteCounts, 8)),
			expanded(2, 1, 3, []byte{0, 1, 2, 127, 128, 129})},
		{"planes, the extra one left out", []byte{1, 2, 3, 4, 5, 6, 7, 8}, with(plain(), longs(width, 2), longs(height, 1), shorts(bits, 8), shorts(photometric, 2), shorts(samplesPerPixel, 4), shorts(extraSample, 0), shorts(planar, 2), longs(stripOffsets, 8, 10, 12, 14), longs(stripByteCounts, 2, 2, 2, 2)),
			expanded(2, 1, 3, []byte{1, 3, 5, 2, 4, 6})},
		{"grey and alpha, white is zero", []byte{255, 255, 255, 0, 0, 255, 0, 51}, with(plain(), longs(width, 4), longs(height, 1), shorts(bits, 8, 8), shorts(photometric, 0), shorts(samplesPerPixel, 2), shorts(extraSample, 2), longs(stripByteCounts, 8)),
			expanded(4, 1, 1, []byte{0, 255, 255, 255})},
		{"alpha not premultiplied", []byte{0, 255, 0, 0, 100, 51, 255, 255}, with(plain(), longs(width, 4), longs(height, 1), shorts(bits, 8, 8), shorts(samplesPerPixel, 2), shorts(extraSample, 2), longs(stripByteCounts, 8)),
			expanded(4, 1, 1, []byte{0, 255, 224, 255})}, // 100 x 0.2 + 255 x 0.8
		{"alpha premultiplied", []byte{0, 255, 0, 0, 20, 51, 40, 20}, with(plain(), longs(width, 4), longs(height, 1), shorts(bits, 8, 8), shorts(samplesPerPixel, 2), shorts(extraSample, 1), longs(stripByteCounts, 8)),
			expanded(4, 1, 1, []byte{0, 255, 224, 255})}, // more colour than opacity is white
	} {
		s := memorySource(t, makeTIFF(binary.BigEndian, c.data, c.tags))
		same(t, c.name, read(t, s), c.want)
	}
}

// TIFF 6.0, section 9, gives this example of PackBits.
func TestPackBitsExample(t *testing.T) {
	packed := []byte{0xfe, 0xaa, 0x02, 0x80, 0x00, 0x2a, 0xfd, 0xaa, 0x03, 0x80, 0x00, 0x2a, 0x22, 0xf7, 0xaa}
	want := []byte{0xaa, 0xaa, 0xaa, 0x80, 0x00, 0x2a, 0xaa, 0xaa, 0xaa, 0xaa, 0x80, 0x00, 0x2a, 0x22,
		0xaa, 0xaa, 0xaa, 0xaa, 0xaa, 0xaa, 0xaa, 0xaa, 0xaa, 0xaa}
	s := memorySource(t, makeTIFF(binary.LittleEndian, packed, with(plain(), longs(width, 8), longs(height, 3), shorts(compression, 32773), longs(stripByteCounts, 15))))
	same(t, "PackBits", read(t, s), expanded(8, 3, 1, want))
}

func TestTIFFPagesAndResolution(t *testing.T) {
	tags := with(plain(), tag{282, 5, []uint32{11811, 100}}, tag{283, 5, []uint32{360, 1}}, shorts(296, 3), shorts(orientation, 6),
		tag{270, 2, []uint32{'M', 'i', 'l', 'l', 0}})
	s := memorySource(t, makeTIFF(binary.LittleEndian, twelve, tags))
	h := s.Header()
	if h.PPIX != 118.11*2.54 || h.PPIY != 360*2.54 || h.Orientation != 6 || h.Description != "Mill" || h.Format != "TIFF" || h.Bits != 8 {
		t.Errorf("%+v", h)
	}
}

// chain makes a file whose first directory is followed by another at offset.
func chain(file []byte, offset uint32) []byte {
	first := binary.LittleEndian.Uint32(file[4:])
	n := uint32(binary.LittleEndian.Uint16(file[first:]))
	binary.LittleEndian.PutUint32(file[first+2+12*n:], offset)
	return file
}

func TestFirstPageOfSeveral(t *testing.T) {
	small := with(plain(), longs(width, 2), longs(height, 1), longs(rowsPerStrip, 1), longs(stripByteCounts, 2))
	for _, c := range []struct {
		name          string
		first, second []tag
		notices       int
		want          pixels
	}{
		{"two pages", plain(), small, 1, expanded(4, 3, 1, twelve)},
		{"a preview first", with(small, longs(254, 1)), plain(), 0, expanded(4, 3, 1, twelve)},
		{"a preview behind", plain(), with(small, longs(254, 1)), 0, expanded(4, 3, 1, twelve)},
	} {
		a, b := makeTIFF(binary.LittleEndian, twelve, c.first), makeTIFF(binary.LittleEndian, twelve, c.second)
		directory := b[20:] // its values are inside it; its strip is at byte 8, as in a
		s := memorySource(t, append(chain(a, uint32(len(a))), directory...))
		same(t, c.name, read(t, s), c.want)
		if got := s.Header().Notices; len(got) != c.notices {
			t.Errorf("%s: notices %q, want %d", c.name, got, c.notices)
		}
	}
}

// TestRowSeeker starts at every row, forwards and backwards.
func TestRowSeeker(t *testing.T) {
	p := paint(37, 41, 3, grain)
	for _, file := range []string{write(t, "b.tif", p, raster.Header{Bits: 16}, &raster.TIFFOptions{Compression: raster.NoCompression})} {
		src, err := raster.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		s, ok := src.(raster.RowSeeker)
		if !ok || src.Header().Access != raster.AnyRow {
			t.Fatalf("a TIFF file gives %T with access %d", src, src.Header().Access)
		}
		band := raster.NewBand(s.Header(), 1)
		for i := range 2 * p.height {
			y := (i * 17) % p.height
			if err := s.SeekRow(y); err != nil {
				t.Fatal(err)
			}
			if _, err := s.ReadRows(background, band); err != nil {
				t.Fatal(err)
			}
			same(t, "row", pixels{p.width, 1, 3, band}, pixels{p.width, 1, 3, p.rows[y : y+1]})
		}
		s.Restart()
		same(t, "after Restart", read(t, s), p)
		s.Close()
	}
}

func TestCancelledReading(t *testing.T) {
	s := memorySource(t, makeTIFF(binary.LittleEndian, twelve, plain()))
	ctx, cancel := context.WithCancel(background)
	cancel()
	if n, err := s.ReadRows(ctx, raster.NewBand(s.Header(), 2)); n != 0 || err != context.Canceled {
		t.Errorf("%d rows, %v", n, err)
	}
	same(t, "afterwards", read(t, s), expanded(4, 3, 1, twelve))
}
