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
