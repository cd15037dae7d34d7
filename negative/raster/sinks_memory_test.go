package raster_test

import (
	"errors"
	"io"
	"math/rand/v2"
	"runtime"
	"testing"

	"actinic/negative/raster"
)

// nowhere counts what is written.
type nowhere struct{ n int64 }

func (w *nowhere) Write(p []byte) (int, error) {
	w.n += int64(len(p))
	return len(p), nil
}
func (w *nowhere) Seek(int64, int) (int64, error) { return 0, nil }

// asked returns the bytes asked for, freed or not, while rows of 4000 pixels are
// written.
func asked(t *testing.T, height, jobs int, sink func(io.WriteSeeker, raster.Header, int) (raster.StripSink, error)) (uint64, raster.Header) {
	t.Helper()
	h := raster.Header{Width: 4000, Height: height, Channels: 1, Bits: 16}
	band := append(paint(4000, 25, 1, grain).rows, paint(4000, 25, 1, patches).rows...)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	s, err := sink(&nowhere{}, h, jobs)
	if err != nil {
		t.Fatal(err)
	}
	for range height / 50 {
		err = errors.Join(err, s.WriteRows(background, band))
	}
	if err := errors.Join(err, s.Commit()); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc, h
}

// Sinks take the memory that SinkBytes says, use it again for each strip, and
// take no more for a picture of four times the height.
func TestSinkBytes(t *testing.T) {
	for name, c := range map[string]struct {
		pack raster.Compression
		sink func(io.WriteSeeker, raster.Header, int) (raster.StripSink, error)
	}{
		"TIFF": {raster.Deflate, func(w io.WriteSeeker, h raster.Header, jobs int) (raster.StripSink, error) {
			return raster.NewTIFF(w, h, &raster.TIFFOptions{Jobs: jobs})
		}},
		"TIFF, not compressed": {raster.NoCompression, func(w io.WriteSeeker, h raster.Header, jobs int) (raster.StripSink, error) {
			return raster.NewTIFF(w, h, &raster.TIFFOptions{Jobs: jobs, Compression: raster.NoCompression})
		}},
		"PNG": {raster.Deflate, func(w io.WriteSeeker, h raster.Header, jobs int) (raster.StripSink, error) {
			return raster.NewPNG(w, h, &raster.PNGOptions{Jobs: jobs})
		}},
	} {
		for _, jobs := range []int{1, 3} {
			low, h := asked(t, 400, jobs, c.sink)
			high, _ := asked(t, 1600, jobs, c.sink)
			says := uint64(raster.SinkBytes(h, c.pack, jobs))
			const slack = 64 << 10 // the directory, jobs, channels
			if max(low, high) > says+slack || max(low, high) < says/4 {
				t.Errorf("%s, %d jobs: %d bytes for 400 rows, %d for 1600; SinkBytes says %d", name, jobs, low, high, says)
			}
		}
	}
}

func BenchmarkPack(b *testing.B) {
	h := raster.Header{Width: 3000, Height: 1000, Channels: 1, Bits: 16}
	random := rand.New(rand.NewPCG(1, 2))
	grainy := paint(3000, 40, 1, func(x, y, c int) uint16 { return 20000 + uint16(3*x+5*y) + uint16(random.IntN(600)) })
	flat := paint(3000, 40, 1, patches)
	for name, kind := range map[string]struct {
		p    pixels
		bits int
	}{"grain16": {grainy, 16}, "grain8": {grainy, 8}, "flat16": {flat, 16}} {
		for _, form := range sinkNames {
			b.Run(name+"/"+form, func(b *testing.B) {
				h.Bits = kind.bits
				s := newSink(b, &memory{}, form, h, 1)
				packer := s.NewPacker()
				b.SetBytes(int64(40 * 3000 * kind.bits / 8))
				for b.Loop() {
					if _, err := packer.Pack(kind.p.rows); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
