package raster

import (
	"context"
	"io"
)

// holding is a picture that is turned in memory.
type holding struct {
	oriented
	whole []uint16 // as stored; nil until read
	row   int      // next row of the upright picture
}

func newHolding(o oriented) *holding {
	if o.turn.transpose {
		o.head.Width, o.head.Height = o.stored.Height, o.stored.Width
		o.head.PPIX, o.head.PPIY = o.stored.PPIY, o.stored.PPIX
	}
	o.head.HeldBytes += 2 * int64(o.stored.Height) * int64(o.stored.RowSamples())
	o.head.BandRows = o.head.Height
	return &holding{oriented: o}
}

func (o *holding) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
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

// hold reads the picture once.
func (o *holding) hold(ctx context.Context) error {
	if err := ctx.Err(); err != nil || o.whole != nil {
		return err
	}
	if err := o.src.Restart(); err != nil {
		return err
	}
	stride := o.stored.RowSamples()
	whole := make([]uint16, o.stored.Height*stride)
	rows := make([][]uint16, o.stored.Height)
	for y := range rows {
		rows[y] = whole[y*stride : (y+1)*stride]
	}
	if err := readFull(ctx, o.src, rows); err != nil {
		return err
	}
	o.whole = whole
	return nil
}

// pick fills dst with row o.row of the upright picture.
func (o *holding) pick(dst []uint16) {
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

func (o *holding) Restart() error {
	o.row = 0
	if o.whole != nil {
		return nil
	}
	return o.src.Restart()
}

func (o *holding) Close() error {
	o.whole = nil
	return o.oriented.Close()
}
