package sheet

import (
	"context"
	"errors"
	"io"

	"actinic/negative/raster"
)

// formula is a picture that is computed row by row.
type formula struct {
	f      imageForm
	at     func(x, y, c int) uint16
	y      int
	stop   int // fails at this row; 0 never
	turned int
	closed *int
}

func (s *formula) Header() raster.Header {
	f := s.f
	return raster.Header{Width: f.width, Height: f.height, Channels: f.channels, Bits: f.bits, Orientation: 1 + s.turned, BandRows: 7}
}

func (s *formula) Restart() error {
	s.y = 0
	return nil
}

func (s *formula) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	for n, row := range dst {
		switch {
		case s.stop > 0 && s.y == s.stop:
			return n, errTest
		case s.y == s.f.height && n == 0:
			return 0, io.EOF
		case s.y == s.f.height:
			return n, nil
		}
		for i := range row {
			row[i] = s.at(i/s.f.channels, s.y, i%s.f.channels)
		}
		s.y++
	}
	return len(dst), nil
}

func (s *formula) Close() error {
	if s.closed != nil {
		*s.closed++
	}
	return nil
}

// short gives half the rows that its header promises.
type short struct{ formula }

func (s *short) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if s.y >= s.f.height/2 {
		return 0, io.EOF
	}
	return s.formula.ReadRows(ctx, dst[:1])
}

// open lets an item read f with each sample from at.
func open(f imageForm, at func(x, y, c int) uint16) func() (raster.Source, error) {
	return func() (raster.Source, error) { return &formula{f: f, at: at}, nil }
}

// grain differs from sample to sample in all 16 bits.
func grain(x, y, c int) uint16 {
	return uint16((uint32(x+1)*2654435761 ^ uint32(y+1)*40503*65537 ^ uint32(c+1)*97003) >> 9)
}

// packed is what the PDF must hold of such a picture.
func packed(f imageForm, at func(x, y, c int) uint16) []byte {
	var out []byte
	for y := range f.height {
		for x := range f.width {
			for c := range f.channels {
				v := at(x, y, c)
				out = append(out, byte(v>>8))
				if f.bits == 16 {
					out = append(out, byte(v))
				}
			}
		}
	}
	return out
}

var errTest = errors.New("test")

// failing is a writer that fails after n bytes.
type failing struct{ n int }

func (w *failing) Write(b []byte) (int, error) {
	if w.n -= len(b); w.n < 0 {
		return 0, errTest
	}
	return len(b), nil
}

var background = context.Background()
