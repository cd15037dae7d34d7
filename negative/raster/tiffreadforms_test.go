package raster_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"actinic/negative/raster"
)

// made is a file of one strip, w x h pixels of n samples.
func made(order binary.AppendByteOrder, data []byte, w, h, n uint32, more ...tag) []byte {
	return makeTIFF(order, data, with(plain(), append([]tag{longs(width, w), longs(height, h), longs(rowsPerStrip, h), shorts(samplesPerPixel, n),
		longs(stripByteCounts, uint32(len(data)))}, more...)...))
}

// values is a picture of one row.
func values(w, channels int, v ...uint16) pixels {
	return pixels{width: w, height: 1, channels: channels, rows: [][]uint16{v}}
}

// TestTIFFColoursByHand works colours out by hand from TIFF 6.0 (1992): palettes
// (section 5), CMYK (16), extra samples (18) and L*a*b* (23); and 16-bit ICC
// L*a*b* from ICC.1:2010, table 12, where L* 100 is 0xff00.
func TestTIFFColoursByHand(t *testing.T) {
	profile := tag{34675, 7, []uint32{1, 2, 3, 4}}
	be := binary.BigEndian
	for _, c := range []struct {
		name string
		file []byte
		want pixels
	}{
		{"palette of 2 bits", made(little, []byte{0b00_01_10_11}, 4, 1, 1, shorts(bits, 2), shorts(photometric, 3), shorts(320, 0, 65535, 1000, 7, 1, 2, 3, 4, 65535, 9, 8, 7)),
			values(4, 3, 0, 1, 65535, 65535, 2, 9, 1000, 3, 8, 7, 4, 7)},
		{"palette of an old writer", made(be, []byte{0x40}, 2, 1, 1, shorts(bits, 1), shorts(photometric, 3), shorts(320, 0, 255, 10, 20, 30, 40)),
			values(2, 3, 0, 10*257, 30*257, 65535, 20*257, 40*257)},
		{"palette and opacity", made(be, []byte{0x1f, 0x10, 0x13}, 3, 1, 2, shorts(bits, 4, 4), shorts(photometric, 3), shorts(extraSample, 2), shorts(320, append(make([]uint32, 47), 65535)...)),
			values(3, 3, 0, 0, 0, 65535, 65535, 65535, 52428, 52428, 52428)},
		{"inks", made(be, []byte{0, 255, 128, 1}, 1, 1, 4, shorts(photometric, 5), profile), values(1, 4, 0, 65535, 128*257, 257)},
		{"inks and opacity", made(be, []byte{255, 255, 100, 0, 51, 0, 0, 0, 200, 255}, 2, 1, 5, shorts(photometric, 5), shorts(extraSample, 2), profile),
			values(2, 4, 13107, 13107, 20*257, 0, 0, 0, 0, 200*257)},
		{"inks times opacity", made(be, []byte{51, 10, 0, 0, 51}, 1, 1, 5, shorts(photometric, 5), shorts(extraSample, 1), profile), values(1, 4, 13107, 10*257, 0, 0)},
		{"L*a*b*", made(be, []byte{0, 1, 2, 255, 3, 4}, 2, 1, 3, shorts(photometric, 8), shorts(bits, 8, 8, 8)), values(2, 1, 0, 65535)},
		{"L*a*b*, a and b with sign", made(be, []byte{77, 1, 2}, 1, 1, 3, shorts(photometric, 8), shorts(sampleFormat, 1, 2, 2)), values(1, 1, 77*257)},
		{"L* alone", made(be, []byte{0, 100}, 2, 1, 1, shorts(photometric, 8)), values(2, 1, 0, 25700)},
		{"L* and opacity", made(be, []byte{0, 0, 0, 51}, 2, 1, 2, shorts(photometric, 8), shorts(extraSample, 2)), values(2, 1, 65535, 52428)},
		{"ICC L*a*b*, 16 bits", made(be, []byte{0xff, 0, 0, 0, 0, 0, 0x7f, 0x80, 0, 0, 0, 0}, 2, 1, 3, shorts(photometric, 9), shorts(bits, 16)), values(2, 1, 65535, 32768)},
		{"ICC L*a*b*, planes", made(be, []byte{0xff, 0xff, 1, 1, 1, 1}, 1, 1, 3, shorts(photometric, 9), shorts(bits, 16), shorts(planar, 2), longs(stripOffsets, 8, 10, 12), longs(stripByteCounts, 2, 2, 2)), values(1, 1, 65535)},
		{"4 bits with differences", made(be, zipped([]byte{0x12, 0x3f, 0xf0}), 5, 1, 1, shorts(bits, 4), shorts(compression, 8), shorts(predictor, 2)),
			values(5, 1, 1*4369, 3*4369, 6*4369, 5*4369, 4*4369)},
		{"deflate by its old number", made(be, zipped([]byte{1, 2, 3}), 3, 1, 1, shorts(compression, 32946)), values(3, 1, 257, 514, 771)},
		{"12 bits", made(little, []byte{0x00, 0x0f, 0xff, 0x80, 0x0}, 3, 1, 1, shorts(bits, 12)), values(3, 1, 0, 65535, 32776)}, // 2048 x 65535 / 4095 = 32775.5...
		{"32 bits", made(be, []byte{0, 0, 0x7f, 0xff, 0, 0, 0x80, 0, 0xff, 0xff, 0xff, 0xff}, 3, 1, 1, shorts(bits, 32)), values(3, 1, 0, 0, 65535)},
		{"32 bits, little", made(little, []byte{0, 0, 1, 0, 2, 0, 1, 0}, 2, 1, 1, shorts(bits, 32)), values(2, 1, 1, 1)},
		{"bits the other way", made(be, []byte{0b1000_0001, 0b0000_0011, 0x01, 0x80}, 2, 1, 1, shorts(bits, 16), shorts(266, 2)), values(2, 1, 0b1000_0001_1100_0000, 0x8001)},
	} {
		s := memorySource(t, c.file)
		same(t, c.name, read(t, s), c.want)
	}
	s := memorySource(t, made(be, []byte{0xff, 1, 0, 0, 0, 0}, 1, 1, 3, shorts(photometric, 9), shorts(bits, 16)))
	same(t, "beyond white", read(t, s), values(1, 1, 65535))
	if seen := s.(raster.Witness).Seen(); len(seen) != 1 || !strings.Contains(seen[0], "1 sample lay beyond white") {
		t.Errorf("L* beyond white: %q", seen)
	}
}

// TestTIFFFloats reads numbers of IEEE 754 and counts those without a place, each
// once, however many readers see it how often.
func TestTIFFFloats(t *testing.T) {
	var single, double []byte
	numbers := []float64{0, 1, 0.5, 1.5, -0.25, math.NaN(), math.Inf(1), 1.0 / 65535}
	for _, v := range numbers {
		single = binary.BigEndian.AppendUint32(single, math.Float32bits(float32(v)))
		double = binary.LittleEndian.AppendUint64(double, math.Float64bits(v))
	}
	half := []byte{0, 0, 0x3c, 0, 0x38, 0, 0x3e, 0, 0xb4, 0, 0x7e, 0, 0x7c, 0, 0, 0xff} // the last is 255 x 2^-24, subnormal
	number := shorts(sampleFormat, 3)
	for _, c := range []struct {
		name string
		file []byte
	}{
		{"16", made(binary.BigEndian, half, 8, 1, 1, shorts(bits, 16), number)}, {"32", made(binary.BigEndian, single, 8, 1, 1, shorts(bits, 32), number)},
		{"64", made(little, double, 8, 1, 1, shorts(bits, 64), number)},
	} {
		s := memorySource(t, c.file)
		h := s.Header()
		if h.Gamma != 1 || h.Bits != 16 || len(h.Notices) != 1 || !strings.Contains(h.Notices[0], "linear light") {
			t.Errorf("%s: %+v", c.name, h)
		}
		for range 2 {
			same(t, c.name, read(t, s), values(8, 1, 0, 65535, 32768, 65535, 0, 0, 65535, 1))
			s.Restart()
		}
		fork, err := s.(raster.Forker).Fork()
		if err != nil {
			t.Fatal(err)
		}
		read(t, fork)
		want := []string{"2 samples lay beyond white and were taken as white", "1 sample lay below black and was taken as black", "1 sample was no number and was taken as black"}
		if seen := s.(raster.Witness).Seen(); !slices.Equal(seen, want) {
			t.Errorf("%s: %q", c.name, seen)
		}
	}
	opaque := made(binary.BigEndian, append(single[4:8:8], single[12:16]...), 1, 1, 2, shorts(bits, 32, 32), shorts(sampleFormat, 3, 3), shorts(extraSample, 0), tag{34675, 7, []uint32{1, 2, 3, 4}})
	s := memorySource(t, opaque)
	same(t, "an extra sample", read(t, s), values(1, 1, 65535))
	if h, seen := s.Header(), s.(raster.Witness).Seen(); h.Gamma != 0 || len(seen) != 0 {
		t.Errorf("with a profile and an extra sample beyond white: gamma %g, %q", h.Gamma, seen)
	}
}

// counted counts the bytes that are read.
type counted struct {
	io.ReaderAt
	n *int64
}

func (c counted) ReadAt(p []byte, at int64) (int, error) {
	n, err := c.ReaderAt.ReadAt(p, at)
	*c.n += int64(n)
	return n, err
}

// ziptiff is a picture in deflated strips or tiles of the given height, all of
// 16-bit grey.
func ziptiff(p pixels, tileW, tileH int) []byte {
	var data []byte
	var offsets, counts []uint32
	for y := 0; y < p.height; y += tileH {
		for x := 0; x < p.width; x += max(tileW, 1) {
			var raw []byte
			for j := y; j < y+tileH && (tileW > 0 || j < p.height); j++ {
				row := p.rows[min(j, p.height-1)]
				w := tileW
				if w == 0 {
					w = p.width
				}
				for i := x; i < x+w; i++ {
					raw = binary.BigEndian.AppendUint16(raw, row[min(i, p.width-1)])
				}
			}
			z := zipped(raw)
			offsets, counts, data = append(offsets, uint32(8+len(data))), append(counts, uint32(len(z))), append(data, z...)
			if tileW == 0 {
				break
			}
		}
	}
	tags := with(plain(), longs(width, uint32(p.width)), longs(height, uint32(p.height)), shorts(bits, 16), shorts(compression, 8))
	if tileW > 0 {
		tags = with(without(without(without(tags, stripOffsets), stripByteCounts), rowsPerStrip), shorts(tileWidth, uint32(tileW)), shorts(tileLength, uint32(tileH)), longs(tileOffsets, offsets...), longs(tileCounts, counts...))
	} else {
		tags = with(tags, longs(rowsPerStrip, uint32(tileH)), longs(stripOffsets, offsets...), longs(stripByteCounts, counts...))
	}
	return makeTIFF(binary.BigEndian, data, tags)
}

// TestReadingUpwards reads bands of BandRows from the last to the first, and holds
// that no strip is read twice.
func TestReadingUpwards(t *testing.T) {
	p := paint(301, 200, 1, grain)
	for name, file := range map[string][]byte{"strips": ziptiff(p, 0, 16), "small tiles": ziptiff(p, 64, 32), "large tiles": ziptiff(p, 272, 48)} {
		var n int64
		s, err := raster.NewSource(counted{bytes.NewReader(file), &n}, int64(len(file)), "x")
		if err != nil {
			t.Fatal(err)
		}
		h := s.Header()
		if h.Access != raster.AnyRow || h.BandRows < 16 {
			t.Fatalf("%s: %+v", name, h)
		}
		n = 0
		for y := (p.height - 1) / h.BandRows * h.BandRows; y >= 0; y -= h.BandRows {
			if err := s.(raster.RowSeeker).SeekRow(y); err != nil {
				t.Fatal(err)
			}
			band := raster.NewBand(h, min(h.BandRows, p.height-y))
			for done := 0; done < len(band); { // in pieces, as they come
				got, err := s.ReadRows(background, band[done:min(done+5, len(band))])
				if err != nil {
					t.Fatal(err)
				}
				done += got
			}
			same(t, name, pixels{p.width, len(band), 1, band}, pixels{p.width, len(band), 1, p.rows[y : y+len(band)]})
		}
		if n > int64(len(file)) {
			t.Errorf("%s: read %d bytes of a file of %d", name, n, len(file))
		}
	}
}

// TestForksAtOnce reads a picture by several readers that jump about.
func TestForksAtOnce(t *testing.T) {
	p := paint(301, 200, 1, grain)
	files := map[string][]byte{"strips": ziptiff(p, 0, 16), "tiles": ziptiff(p, 64, 32), "large tiles": ziptiff(p, 272, 48)}
	for name, file := range files {
		s := memorySource(t, file).(raster.Forker)
		var all sync.WaitGroup
		for reader := range 4 {
			fork, err := s.Fork()
			if err != nil {
				t.Fatal(err)
			}
			all.Go(func() {
				defer fork.Close()
				for i := range 60 {
					y := (i*53 + reader*17) % (p.height - 7)
					band := raster.NewBand(fork.Header(), 7)
					if err := fork.SeekRow(y); err != nil {
						t.Error(err)
					}
					if n, err := fork.ReadRows(context.Background(), band); n != 7 || err != nil {
						t.Error(name, n, err)
					}
					same(t, name, pixels{p.width, 7, 1, band}, pixels{p.width, 7, 1, p.rows[y : y+7]})
				}
			})
		}
		all.Wait()
		if h := s.Header(); h.ForkBytes <= 0 || h.HeldBytes < h.ForkBytes {
			t.Errorf("%s: held %d, each fork %d", name, h.HeldBytes, h.ForkBytes)
		}
		same(t, name+", the first", read(t, s), p)
	}
}

// TestFewStripsAreSequential holds the line between the two ways to read.
func TestFewStripsAreSequential(t *testing.T) {
	p := paint(40, 64, 1, grain)
	for tall, want := range map[int]raster.Access{64: raster.Sequential, 22: raster.Sequential, 21: raster.AnyRow, 16: raster.AnyRow} {
		s := memorySource(t, ziptiff(p, 0, tall))
		if got := s.Header().Access; got != want {
			t.Errorf("strips of %d of 64 rows: access %d, want %d", tall, got, want)
		}
		if _, forks := s.(raster.Forker); forks != (want == raster.AnyRow) {
			t.Errorf("strips of %d of 64 rows: %T", tall, s)
		}
	}
}

// TestRowsLyingApart reads rows that do not lie together, some longer than needed.
func TestRowsLyingApart(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		p := paint(7, 5, 1, grain)
		var data []byte
		for _, row := range p.rows {
			for _, v := range row {
				data = order.AppendUint16(data, v)
			}
		}
		s := memorySource(t, made(order, data, 7, 5, 1, shorts(bits, 16)))
		long := make([]uint16, 100)
		band := [][]uint16{make([]uint16, 7), long[14:], long[21:28], long[7:], make([]uint16, 9)}
		if n, err := s.ReadRows(background, band); n != 5 || err != nil {
			t.Fatal(n, err)
		}
		same(t, "apart", pixels{7, 5, 1, band}, p)
	}
}

// TestBigTIFFByHand follows the layout of BigTIFF: a header of 16 bytes with
// version 43, entries of 20 bytes, values of up to 8 bytes in the entry.
func TestBigTIFFByHand(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		tags := with(plain(), longs(rowsPerStrip, 1), longs(stripOffsets, 24, 20, 16), longs(stripByteCounts, 4, 4, 4), tag{282, 5, []uint32{720, 2}}, tag{283, 5, []uint32{300, 1}})
		s := memorySource(t, makeBigTIFF(order, twelve, tags, nil))
		same(t, "three strips, last first", read(t, s), expanded(4, 3, 1, []byte{252, 253, 254, 255, 127, 128, 129, 130, 0, 1, 2, 3}))
		if h := s.Header(); h.PPIX != 360 || h.PPIY != 300 {
			t.Errorf("%+v", h)
		}
	}
}

// far is a file whose data lie behind its directory, with nothing between.
type far struct {
	head, data []byte
	at         int64
}

func (f far) ReadAt(p []byte, at int64) (int, error) {
	if at >= f.at {
		return bytes.NewReader(f.data).ReadAt(p, at-f.at)
	}
	return bytes.NewReader(f.head).ReadAt(p, at)
}

// TestStripBeyond4GiB reads a strip that 32 bits cannot place.
func TestStripBeyond4GiB(t *testing.T) {
	const mark, at = 0xabcdef01, 5<<30 + 3
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		head := makeBigTIFF(order, nil, with(plain(), longs(stripOffsets, mark)), nil)
		head = bytes.Replace(head, order.AppendUint64(nil, mark), order.AppendUint64(nil, at), 1)
		s, err := raster.NewSource(far{head, twelve, at}, at+12, "x")
		if err != nil {
			t.Fatal(err)
		}
		same(t, "far away", read(t, s), expanded(4, 3, 1, twelve))
	}
}

// TestBigTIFFCountsBeyondTheFile claims 2^60 values.
func TestBigTIFFCountsBeyondTheFile(t *testing.T) {
	tags := with(plain(), longs(stripOffsets, 16), shorts(photometric, 3), shorts(bits, 8), shorts(320, 1, 2, 3), tag{34675, 7, []uint32{1}})
	for number, what := range map[uint16]string{320: "ColorMap (tag 320)", 34675: "ICC profile (tag 34675)"} {
		file := makeBigTIFF(little, twelve, tags, map[uint16]uint64{number: 1 << 60})
		if number == 34675 {
			file = makeBigTIFF(little, twelve, with(tags, shorts(photometric, 1)), map[uint16]uint64{number: 1 << 60})
		}
		var f *raster.FormatError
		refused(t, what, decode(file), &f, what)
	}
	offsets := makeBigTIFF(little, twelve, with(plain(), longs(stripOffsets, 1<<32-1)), map[uint16]uint64{stripByteCounts: 1 << 60})
	var f *raster.FormatError
	refused(t, "strips", decode(offsets), &f, "strip 0: has") // only as many as the picture has are read
}

// TestHeldBytesAreTrue reads pictures whole and holds that no more memory is
// taken than the header says, and a little for what the runtime rounds up.
func TestHeldBytesAreTrue(t *testing.T) {
	p := paint(1500, 600, 1, grain)
	for name, file := range map[string][]byte{"strips": ziptiff(p, 0, 16), "one strip": ziptiff(p, 0, 600), "small tiles": ziptiff(p, 64, 64), "large tiles": ziptiff(p, 256, 256)} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		s := memorySource(t, file)
		h := s.Header()
		band := raster.NewBand(h, 50)
		for range h.Height / 50 {
			if _, err := s.ReadRows(background, band); err != nil {
				t.Fatal(err)
			}
		}
		runtime.ReadMemStats(&after)
		took := int64(after.TotalAlloc-before.TotalAlloc) - 2*50*int64(h.RowSamples())
		t.Logf("%s: took %d of %d bytes", name, took, h.HeldBytes)
		if took > h.HeldBytes*5/4+64<<10 {
			t.Errorf("%s: took %d bytes, the header says %d", name, took, h.HeldBytes)
		}
	}
}

// TestStripsThatAreNotRight are read as far as they go.
func TestStripsThatAreNotRight(t *testing.T) {
	data := append(append([]byte(nil), twelve...), twelve...)
	six := with(plain(), longs(height, 6), longs(rowsPerStrip, 3))
	both := memorySource(t, makeTIFF(little, data, with(six, longs(stripOffsets, 8, 8), longs(stripByteCounts, 12, 12))))
	same(t, "strips over each other", read(t, both), expanded(4, 6, 1, data))
	short := memorySource(t, makeTIFF(little, data, with(six, longs(stripOffsets, 8, 12), longs(stripByteCounts, 8, 16))))
	band := raster.NewBand(short.Header(), 6)
	n, err := short.ReadRows(background, band)
	if n != 2 || err != nil {
		t.Fatalf("%d rows of a strip with two of three, %v", n, err)
	}
	same(t, "what is there", pixels{4, 2, 1, band[:2]}, expanded(4, 2, 1, data[:8]))
	if n, err := short.ReadRows(background, band); n != 0 || err == nil || !strings.Contains(err.Error(), "strip 0: ends after 2 of 3 rows") {
		t.Errorf("%d rows, %v", n, err)
	}
	if err := short.(raster.RowSeeker).SeekRow(3); err != nil {
		t.Fatal(err)
	}
	if n, err := short.ReadRows(background, band); n != 3 || err != nil {
		t.Errorf("below it: %d rows, %v", n, err)
	}
}

// TestDeflateBomb reads a strip that unfolds to a hundred times what its picture
// needs, and only that.
func TestDeflateBomb(t *testing.T) {
	bomb := zipped(make([]byte, 100<<20))
	file := made(binary.BigEndian, bomb, 1000, 1000, 1, shorts(compression, 8))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	s := memorySource(t, file)
	p := read(t, s)
	runtime.ReadMemStats(&after)
	if len(p.rows) != 1000 || after.TotalAlloc-before.TotalAlloc > 4<<20 {
		t.Errorf("%d rows, %d bytes taken", len(p.rows), after.TotalAlloc-before.TotalAlloc)
	}
}
