package raster_test

import (
	"context"
	"testing"

	"actinic/negative/raster"
)

// turned is a source of a picture in memory with an orientation.
type turned struct {
	pixels
	orientation int
	row         int
	closed      bool
}

func (s *turned) Header() raster.Header {
	return raster.Header{Width: s.width, Height: s.height, Channels: s.channels, Bits: 16, PPIX: 300, PPIY: 150, Orientation: s.orientation, BandRows: 1}
}

func (s *turned) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	if s.row == s.height {
		return 0, context.Canceled // nobody reads below the last row
	}
	copy(dst[0], s.rows[s.row]) // one at a time, as a source may
	s.row++
	return 1, nil
}

func (s *turned) Restart() error { s.row = 0; return nil }
func (s *turned) Close() error   { s.closed = true; return nil }

// TIFF 6.0, page 36: where the stored first row and first column are on the
// upright picture. The letter is 3 x 2 pixels, 1 2 3 over 4 5 6, as stored.
func TestOriented(t *testing.T) {
	letter := paint(3, 2, 1, func(x, y, _ int) uint16 { return uint16(3*y + x + 1) })
	for o, c := range map[int]struct {
		width  int
		want   []uint16
		mirror []uint16
	}{
		1: {3, []uint16{1, 2, 3, 4, 5, 6}, []uint16{3, 2, 1, 6, 5, 4}},
		2: {3, []uint16{3, 2, 1, 6, 5, 4}, []uint16{1, 2, 3, 4, 5, 6}}, // row 0 top, column 0 right
		3: {3, []uint16{6, 5, 4, 3, 2, 1}, []uint16{4, 5, 6, 1, 2, 3}}, // bottom, right
		4: {3, []uint16{4, 5, 6, 1, 2, 3}, []uint16{6, 5, 4, 3, 2, 1}}, // bottom, left
		5: {2, []uint16{1, 4, 2, 5, 3, 6}, []uint16{4, 1, 5, 2, 6, 3}}, // row 0 left, column 0 top
		6: {2, []uint16{4, 1, 5, 2, 6, 3}, []uint16{1, 4, 2, 5, 3, 6}}, // right, top
		7: {2, []uint16{6, 3, 5, 2, 4, 1}, []uint16{3, 6, 2, 5, 1, 4}}, // right, bottom
		8: {2, []uint16{3, 6, 2, 5, 1, 4}, []uint16{6, 3, 5, 2, 4, 1}}, // left, bottom
	} {
		for mirror, list := range map[bool][]uint16{false: c.want, true: c.mirror} {
			s := &turned{pixels: letter, orientation: o}
			v := raster.Oriented(s, mirror)
			h := v.Header()
			if h.Width != c.width || h.Height != 6/c.width || h.Orientation != 1 || (h.PPIX == 150) != (o > 4) || (h.PPIY == 300) != (o > 4) {
				t.Errorf("orientation %d: %+v", o, h)
			}
			if holds := o > 2; (h.HeldBytes >= 12) != holds {
				t.Errorf("orientation %d holds %d bytes", o, h.HeldBytes)
			}
			got := pixels{h.Width, h.Height, 1, raster.NewBand(h, h.Height)}
			for y := 0; y < h.Height; {
				n, err := v.ReadRows(background, got.rows[y:])
				if err != nil {
					t.Fatal(err)
				}
				y += n
			}
			same(t, "upright", got, paint(h.Width, h.Height, 1, func(x, y, _ int) uint16 { return list[y*h.Width+x] }))
			if v.Close(); !s.closed {
				t.Error("the source stays open")
			}
		}
	}
}

// TestOrientedAfterRows turns a picture of which rows were read already.
func TestOrientedAfterRows(t *testing.T) {
	s := &turned{pixels: paint(5, 4, 3, grain), orientation: 4}
	s.ReadRows(background, raster.NewBand(s.Header(), 1))
	v := raster.Oriented(s, false)
	got := raster.NewBand(v.Header(), 4)
	if n, err := v.ReadRows(background, got); n != 4 || err != nil {
		t.Fatal(n, err)
	}
	same(t, "first row", pixels{5, 1, 3, got[3:]}, pixels{5, 1, 3, s.rows[:1]})
}

// seekable is a picture whose rows can be read from any on, four kept together.
type seekable struct {
	turned
	read int // rows, in all
}

func (s *seekable) Header() raster.Header {
	h := s.turned.Header()
	h.Access, h.BandRows = raster.AnyRow, 4
	return h
}

func (s *seekable) SeekRow(y int) error { s.row = y; return nil }

func (s *seekable) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	s.read++
	return s.turned.ReadRows(ctx, dst)
}

// An upside-down picture that can be read from any row on comes by bands: each
// row is read once, and no more than a band is held.
func TestUpsideDownByBands(t *testing.T) {
	p := paint(5, 50, 3, grain)
	for orientation, turn := range map[int]func(x, y, c int) uint16{
		3: func(x, y, c int) uint16 { return grain(4-x, 49-y, c) },
		4: func(x, y, c int) uint16 { return grain(x, 49-y, c) },
	} {
		s := &seekable{turned: turned{pixels: p, orientation: orientation}}
		v := raster.Oriented(s, false)
		if held := v.Header().HeldBytes; held != 16*15*2 {
			t.Errorf("orientation %d holds %d bytes, expected 16 rows", orientation, held)
		}
		for range 2 {
			s.read = 0
			same(t, "by bands", read(t, v), paint(5, 50, 3, turn))
			if s.read != 50 {
				t.Errorf("orientation %d reads %d rows of 50", orientation, s.read)
			}
			if err := v.Restart(); err != nil {
				t.Fatal(err)
			}
		}
	}
}
