package raster_test

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"actinic/negative/raster"
)

var background = context.Background()

// pixels is a picture in memory: rows of interleaved 16-bit samples.
type pixels struct {
	width, height, channels int
	rows                    [][]uint16
}

// paint fills a picture from at(x, y, channel).
func paint(width, height, channels int, at func(x, y, c int) uint16) pixels {
	p := pixels{width: width, height: height, channels: channels}
	for y := range height {
		row := make([]uint16, 0, width*channels)
		for x := range width {
			for c := range channels {
				row = append(row, at(x, y, c))
			}
		}
		p.rows = append(p.rows, row)
	}
	return p
}

// grain differs from sample to sample in all 16 bits.
func grain(x, y, c int) uint16 {
	v := uint32(x+1)*2654435761 ^ uint32(y+1)*40503*65537 ^ uint32(c+1)*97003
	return uint16(v >> 9)
}

// grain8 does so in 8 bits, times 257.
func grain8(x, y, c int) uint16 { return grain(x, y, c) >> 8 * 257 }

// patches are flat, as on a chart.
func patches(x, y, c int) uint16 { return uint16((x/8*31+y/8*17+c*5)%256) * 257 }

// slope is smooth and uses low bits.
func slope(x, y, c int) uint16 { return uint16(x*211 + y*97 + c*13) }

// read takes all rows of an open source.
func read(t *testing.T, s raster.Source) pixels {
	t.Helper()
	h := s.Header()
	p := pixels{width: h.Width, height: h.Height, channels: h.Channels}
	for {
		band := raster.NewBand(h, 3)
		n, err := s.ReadRows(background, band)
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if n < 1 {
			t.Fatal("no row and no error")
		}
		p.rows = append(p.rows, band[:n]...)
	}
	return p
}

// open returns header and picture of a file.
func open(t *testing.T, path string) (raster.Header, pixels) {
	t.Helper()
	s, err := raster.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	return s.Header(), read(t, s)
}

// same compares two pictures and names the first difference.
func same(t *testing.T, what string, got, want pixels) {
	t.Helper()
	if got.width != want.width || got.height != want.height || got.channels != want.channels || len(got.rows) != len(want.rows) {
		t.Errorf("%s: %d x %d x %d (%d rows), want %d x %d x %d", what, got.width, got.height, got.channels, len(got.rows), want.width, want.height, want.channels)
		return
	}
	for y, row := range want.rows {
		for i, v := range row {
			if got.rows[y][i] != v {
				t.Errorf("%s: row %d, sample %d: %d, want %d", what, y, i, got.rows[y][i], v)
				return
			}
		}
	}
}

// write makes a file in a temporary folder from a picture.
func write(t *testing.T, name string, p pixels, h raster.Header, o *raster.TIFFOptions) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	h.Width, h.Height, h.Channels = p.width, p.height, p.channels
	var s raster.Sink
	if filepath.Ext(name) == ".png" {
		s, err = raster.NewPNG(f, h, nil)
	} else {
		s, err = raster.NewTIFF(f, h, o)
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := s.WriteRows(background, p.rows); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
	s.Abort() // after Commit nothing happens
	return path
}
