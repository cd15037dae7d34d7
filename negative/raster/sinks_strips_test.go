package raster_test

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"actinic/negative/raster"
)

// newSink returns a sink of each kind by the ending of a name.
func newSink(t interface{ Fatal(...any) }, f *memory, name string, h raster.Header, jobs int) raster.StripSink {
	var s raster.StripSink
	var err error
	switch name {
	case "x.png":
		s, err = raster.NewPNG(f, h, &raster.PNGOptions{Jobs: jobs})
	case "plain.tif":
		s, err = raster.NewTIFF(f, h, &raster.TIFFOptions{Compression: raster.NoCompression, Jobs: jobs})
	default:
		s, err = raster.NewTIFF(f, h, &raster.TIFFOptions{Jobs: jobs})
	}
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var sinkNames = []string{"x.tif", "plain.tif", "x.png"}

// mixed has flat strips among grainy and smooth ones.
func mixed(x, y, c int) uint16 {
	switch y / 150 {
	case 0:
		return grain(x, y, c)
	case 1:
		return 0
	case 2:
		return slope(x, y, c)
	}
	return patches(x, y, c)
}

// byStrips writes p through packers of several goroutines, in any order of time.
func byStrips(t *testing.T, s raster.StripSink, p pixels, workers int) {
	t.Helper()
	n := s.StripRows()
	strips := make([]raster.Strip, (p.height+n-1)/n)
	next := make(chan int)
	var wait sync.WaitGroup
	for range workers {
		packer := s.NewPacker()
		wait.Go(func() {
			for i := range next {
				rows := copyRows(p.rows[i*n : min((i+1)*n, p.height)])
				strip, err := packer.Pack(rows)
				if err != nil {
					t.Error(err)
				}
				for _, row := range rows {
					clear(row) // they are not kept
				}
				strips[i] = strip
			}
		})
	}
	for _, i := range rand.New(rand.NewPCG(uint64(workers), 0)).Perm(len(strips)) {
		next <- i
	}
	close(next)
	wait.Wait()
	for _, strip := range strips {
		if err := s.WriteStrip(background, strip); err != nil {
			t.Fatal(err)
		}
	}
}

func copyRows(rows [][]uint16) [][]uint16 {
	out := make([][]uint16, len(rows))
	for i, row := range rows {
		out[i] = slices.Clone(row)
	}
	return out
}

// The file is the same, byte for byte, whichever way its rows come.
func TestStripsAndRowsGiveTheSameBytes(t *testing.T) {
	for _, name := range sinkNames {
		for _, bits := range []int{8, 16} {
			for _, channels := range []int{1, 3} {
				p := paint(700, 700, channels, mixed)
				h := raster.Header{Width: p.width, Height: p.height, Channels: channels, Bits: bits, PPIX: 360, PPIY: 360}
				var rows memory
				s := newSink(t, &rows, name, h, 1)
				if err := s.WriteRows(background, p.rows); err != nil {
					t.Fatal(err)
				}
				if err := s.Commit(); err != nil {
					t.Fatal(err)
				}
				for _, workers := range []int{1, 4} {
					var strips memory
					s := newSink(t, &strips, name, h, 1)
					byStrips(t, s, p, workers)
					if err := s.Commit(); err != nil {
						t.Fatal(err)
					}
					if !bytes.Equal(strips.b, rows.b) {
						t.Errorf("%s, %d bits, %d channels: strips by %d goroutines give other bytes than rows", name, bits, channels, workers)
					}
				}
			}
		}
	}
}

// Machines that keep the more significant byte first write the same bytes.
func TestOrderOfTheMachineDoesNotMatter(t *testing.T) {
	p := paint(61, 47, 3, grain)
	h := raster.Header{Width: p.width, Height: p.height, Channels: 3, Bits: 16}
	for _, name := range sinkNames {
		file := func() []byte {
			var f memory
			s := newSink(t, &f, name, h, 1)
			if err := errors.Join(s.WriteRows(background, p.rows), s.Commit()); err != nil {
				t.Fatal(err)
			}
			return f.b
		}
		here := file()
		raster.OnAnotherMachine(func() {
			if !bytes.Equal(file(), here) {
				t.Errorf("%s: other bytes", name)
			}
		})
	}
}

// Any rows in, in any portions, come back from raster.Open's readers.
func TestAnyRowsComeBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		name := rapid.SampledFrom(sinkNames).Draw(rt, "name")
		h := raster.Header{
			Width: rapid.IntRange(1, 300).Draw(rt, "width"), Height: rapid.IntRange(1, 300).Draw(rt, "height"),
			Channels: rapid.SampledFrom([]int{1, 3}).Draw(rt, "channels"), Bits: rapid.SampledFrom([]int{8, 16}).Draw(rt, "bits"),
		}
		at := rapid.SampledFrom([]func(x, y, c int) uint16{grain8, patches, grain8, patches}).Draw(rt, "what")
		if h.Bits == 16 {
			at = rapid.SampledFrom([]func(x, y, c int) uint16{grain, slope, patches}).Draw(rt, "what of 16 bits")
		}
		p := paint(h.Width, h.Height, h.Channels, at)
		var f memory
		s := newSink(rt, &f, name, h, rapid.IntRange(1, 3).Draw(rt, "jobs"))
		for y := 0; y < h.Height; {
			n := rapid.IntRange(1, h.Height-y).Draw(rt, "rows")
			if err := s.WriteRows(background, p.rows[y:y+n]); err != nil {
				rt.Fatal(err)
			}
			y += n
		}
		if err := s.Commit(); err != nil {
			rt.Fatal(err)
		}
		same(t, name, read(t, memorySource(t, f.b)), p)
	})
}

func TestStripSinksRefuse(t *testing.T) {
	h := raster.Header{Width: 40000, Height: 9, Channels: 3, Bits: 16} // a row a strip
	p := paint(h.Width, h.Height, h.Channels, grain)
	for _, name := range sinkNames {
		for what, c := range map[string]struct {
			write func(s raster.StripSink) error
			says  string
		}{
			"rows after strips": {func(s raster.StripSink) error {
				byStrips(t, s, pixels{p.width, 2, 3, p.rows[:2]}, 1)
				return s.WriteRows(background, p.rows[2:3])
			}, "not both"},
			"strips after rows": {func(s raster.StripSink) error {
				if err := s.WriteRows(background, p.rows[:1]); err != nil {
					return err
				}
				return s.WriteStrip(background, raster.Strip{Rows: 1})
			}, "not both"},
			"a strip of two": {func(s raster.StripSink) error { return s.WriteStrip(background, raster.Strip{Rows: 2}) }, "takes 1"},
			"too many strips": {func(s raster.StripSink) error {
				byStrips(t, s, p, 1)
				return s.WriteStrip(background, raster.Strip{Rows: 1})
			}, "takes 0"},
			"too few": {func(s raster.StripSink) error {
				byStrips(t, s, pixels{p.width, 8, 3, p.rows[:8]}, 1)
				return s.Commit()
			}, "8 of 9 rows"},
			"after the end":  {func(s raster.StripSink) error { s.Abort(); return s.WriteStrip(background, raster.Strip{Rows: 1}) }, "finished"},
			"rows too short": {func(s raster.StripSink) error { _, err := s.NewPacker().Pack([][]uint16{{1}}); return err }, "1 samples"},
			"no rows":        {func(s raster.StripSink) error { _, err := s.NewPacker().Pack(nil); return err }, "0 rows"},
		} {
			if err := c.write(newSink(t, &memory{}, name, h, 1)); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s, %s: %v", name, what, err)
			}
		}
	}
}
