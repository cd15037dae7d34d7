package raster

import (
	"context"
	"io"
)

// Oriented returns src turned upright by its orientation and then, if asked,
// mirrored left to right: both as one step. Its header has the upright size,
// orientation 1 and resolutions to match. Closing it closes src.
//
// Rows that only have to be reversed flow through; all else holds the picture
// (2 bytes a sample, counted in HeldBytes) from the first row read on.
func Oriented(src Source, mirror bool) Source {
	h := src.Header()
	t := turnFor(h.Orientation, mirror)
	h.Orientation = 1
	o := &oriented{src: src, turn: t, stored: src.Header()}
	if t.transpose {
		h.Width, h.Height = h.Height, h.Width
		h.PPIX, h.PPIY = h.PPIY, h.PPIX
	}
	if t.transpose || t.flipY {
		h.HeldBytes += 2 * int64(h.Height) * int64(h.RowSamples())
		h.BandRows = h.Height
	}
	h.Access = Sequential
	o.head = h
	return o
}

// turn is what happens to a grid of pixels: first, if transpose is set, rows
// become columns; then columns and rows are reversed. The eight orientations and
// the mirror are a group, so any chain of them is one turn.
type turn struct{ transpose, flipX, flipY bool }

// turnFor returns the turn of TIFF tag 274 (TIFF 6.0, page 36) and the mirror.
func turnFor(orientation int, mirror bool) turn {
	turns := [9]turn{{}, {}, {flipX: true}, {flipX: true, flipY: true}, {flipY: true},
		{transpose: true}, {transpose: true, flipX: true}, {true, true, true}, {transpose: true, flipY: true}}
	if orientation < 1 || orientation > 8 {
		orientation = 1
	}
	t := turns[orientation]
	t.flipX = t.flipX != mirror
	return t
}

type oriented struct {
	src    Source
	turn   turn
	head   Header
	stored Header
	whole  []uint16 // as stored; nil until read, or when rows flow through
	row    int
}

func (o *oriented) Header() Header { return o.head }

func (o *oriented) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if !o.turn.transpose && !o.turn.flipY {
		n, err := o.src.ReadRows(ctx, dst)
		if o.turn.flipX {
			for _, row := range dst[:n] {
				reverse(row[:o.head.RowSamples()], o.head.Channels)
			}
		}
		return n, err
	}
	if err := o.hold(ctx); err != nil {
		return 0, err
	}
	n := min(len(dst), o.head.Height-o.row)
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	for _, row := range dst[:n] {
		o.pick(row)
		o.row++
	}
	return n, nil
}

// reverse turns a row end to end, pixel by pixel.
func reverse(row []uint16, channels int) {
	for i, j := 0, len(row)-channels; i < j; i, j = i+channels, j-channels {
		for c := range channels {
			row[i+c], row[j+c] = row[j+c], row[i+c]
		}
	}
}

// hold reads the picture once.
func (o *oriented) hold(ctx context.Context) error {
	if err := ctx.Err(); err != nil || o.whole != nil {
		return err
	}
	if err := o.src.Restart(); err != nil {
		return err
	}
	stride := o.stored.RowSamples()
	whole := make([]uint16, o.stored.Height*stride)
	band := make([][]uint16, 1)
	for y := range o.stored.Height {
		band[0] = whole[y*stride : (y+1)*stride]
		if _, err := o.src.ReadRows(ctx, band); err != nil {
			return noEOF(err)
		}
	}
	o.whole = whole
	return nil
}

// pick fills dst with row o.row of the upright picture.
func (o *oriented) pick(dst []uint16) {
	n, stride := o.head.Channels, o.stored.RowSamples()
	for x := range o.head.Width {
		a, b := x, o.row
		if o.turn.flipX {
			a = o.head.Width - 1 - a
		}
		if o.turn.flipY {
			b = o.head.Height - 1 - b
		}
		if o.turn.transpose {
			a, b = b, a
		}
		copy(dst[x*n:(x+1)*n], o.whole[b*stride+a*n:])
	}
}

func (o *oriented) Restart() error {
	o.row = 0
	if o.whole != nil {
		return nil
	}
	return o.src.Restart()
}

func (o *oriented) Close() error {
	o.whole = nil
	return o.src.Close()
}
