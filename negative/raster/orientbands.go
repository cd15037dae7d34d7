package raster

import (
	"context"
	"io"
)

// climbing gives the rows of a picture from the last to the first. Within a band
// they come as they are stored.
type climbing struct {
	oriented
	src  RowSeeker
	band [][]uint16 // as stored; nil until read
	left int        // rows of band, from its first, not given out yet
	row  int        // next row of the upright picture
}

// leastClimb is the least band: a seek for every row would cost too much.
const leastClimb = 16

func newClimbing(o oriented, src RowSeeker) *climbing {
	o.head.HeldBytes += 2 * int64(climbRows(o.stored)) * int64(o.stored.RowSamples())
	return &climbing{oriented: o, src: src}
}

// climbRows is the rows of a band: whole strips or tiles, so that each is decoded
// once.
func climbRows(h Header) int {
	rows := max(1, h.BandRows)
	if rows < leastClimb {
		rows *= (leastClimb + rows - 1) / rows
	}
	return min(rows, h.Height)
}

func (c *climbing) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if c.row == c.head.Height && len(dst) > 0 {
		return 0, io.EOF
	}
	for i, row := range dst {
		if c.row == c.head.Height {
			return i, nil
		}
		if err := c.step(ctx, row); err != nil {
			return i, err
		}
	}
	return len(dst), nil
}

// step copies the next row to dst.
func (c *climbing) step(ctx context.Context, dst []uint16) error {
	if c.left == 0 {
		if err := c.fetch(ctx); err != nil {
			return err
		}
	}
	c.left--
	c.row++
	copy(dst, c.band[c.left])
	return nil
}

// fetch reads the band that ends above the rows given out already.
func (c *climbing) fetch(ctx context.Context) error {
	end, rows := c.head.Height-c.row, climbRows(c.stored)
	start := (end - 1) / rows * rows
	if c.band == nil {
		c.band = NewBand(c.stored, rows)
	}
	if err := c.src.SeekRow(start); err != nil {
		return err
	}
	if err := readFull(ctx, c.src, c.band[:end-start]); err != nil {
		return err
	}
	c.reverse(c.band[:end-start])
	c.left = end - start
	return nil
}

// readFull fills all rows; the end of the picture before that is an error.
func readFull(ctx context.Context, src Source, rows [][]uint16) error {
	for len(rows) > 0 {
		n, err := src.ReadRows(ctx, rows)
		if err != nil {
			return noEOF(err)
		}
		rows = rows[n:]
	}
	return nil
}

func (c *climbing) Restart() error {
	c.row, c.left = 0, 0
	return nil
}

func (c *climbing) Close() error {
	c.band, c.left = nil, 0
	return c.oriented.Close()
}
