package tone

import (
	"context"
	"io"

	"actinic/negative/raster"
)

// samples feeds the stages from a picture: its rows as read, inverted if asked,
// then turned into linear light by its profile.
type samples struct {
	src    raster.Source
	lum    Luminance
	header raster.Header
	invert bool
	band   [][]uint16
}

func (s *samples) next(ctx context.Context, want int) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	for len(s.band) < want {
		s.band = append(s.band, make([]uint16, s.header.Width*s.header.Channels))
	}
	n, err := s.src.ReadRows(ctx, s.band[:want])
	if err == io.EOF { // the header promised this row
		err = io.ErrUnexpectedEOF
	}
	switch {
	case n > 0:
		return n, nil // rows first; the error comes again
	case err == nil:
		return 0, io.ErrNoProgress
	}
	return 0, err
}

// luminance writes linear light. An inverted picture is put right on its encoded
// values: that is where an editor inverts.
func (s *samples) luminance(dst []float32, i int) {
	row := s.band[i]
	if s.invert {
		for x, v := range row {
			row[x] = 65535 - v
		}
	}
	s.lum.Row(dst, row)
}
