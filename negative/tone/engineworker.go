package tone

import (
	"context"

	"actinic/negative/raster"
)

// worker is what one goroutine has for itself.
type worker struct {
	in     *rowReader
	shared bool // others read through in too: only between begin and work
	header raster.Header
	lum    Luminance
	invert bool

	raw    [][]uint16  // the picture's rows as read
	light  []float32   // one of them as light
	out    []float32   // one row of the grid
	rows   [][]float32 // the rows that a band takes
	film   [][]uint16  // the film's rows, where they are packed at once
	frame  frames
	packer raster.Packer
}

// taker takes the rows of a grid: as the picture's samples where they go straight
// to codes, else as light.
type taker interface {
	samples(i int, row []uint16)
	light(i int, row []float32)
}

// groupBytes is how much of a picture is read at a time by a worker that has it
// for itself: less than the second cache of common processors.
const groupBytes = 128 << 10

// fetch reads what a portion reads, if the picture is read through one reader. It
// is called in the order of the portions.
func (w *worker) fetch(ctx context.Context, p portion) error {
	if !w.shared || p.read.count() == 0 {
		return nil
	}
	w.reserve(p.read.count())
	return w.in.read(ctx, p.read.from, w.raw[:p.read.count()])
}

// reserve makes room for n rows of the picture.
func (w *worker) reserve(n int) {
	if len(w.raw) < n {
		w.raw = raster.NewBand(w.header, n)
	}
}

// each hands every row that a portion reads to do. Rows may be changed.
func (w *worker) each(ctx context.Context, read span, do func(y int, row []uint16)) error {
	if w.shared {
		hand(read.from, w.raw[:read.count()], do)
		return ctx.Err()
	}
	w.reserve(groupRows(w.header))
	for y := read.from; y < read.to; y += len(w.raw) {
		group := w.raw[:min(len(w.raw), read.to-y)]
		if err := w.in.read(ctx, y, group); err != nil {
			return err
		}
		hand(y, group, do)
	}
	return nil
}

func groupRows(h raster.Header) int { return max(min(groupBytes/(2*h.RowSamples()), h.Height), 1) }

func hand(first int, rows [][]uint16, do func(y int, row []uint16)) {
	for i, row := range rows {
		do(first+i, row)
	}
}

// asSaved undoes an inversion of the picture, on its encoded values: that is
// where an editor inverts.
func asSaved(row []uint16) {
	for x, v := range row {
		row[x] = 65535 - v
	}
}

// make makes the rows of a portion.
func (w *worker) make(ctx context.Context, m *maker, p portion, to taker) error {
	if p.rows.count() == 0 {
		return nil
	}
	if m.fused {
		cut := m.grid.across.span(span{0, m.grid.across.count})
		n := w.header.Channels
		return w.each(ctx, p.read, func(y int, row []uint16) {
			to.samples(y-m.grid.down.first, row[cut.from*n:cut.to*n])
		})
	}
	if err := w.fillSlab(ctx, m.grid, p.own); err != nil {
		return err
	}
	if err := w.resample(ctx, m, p, to); err != nil {
		return err
	}
	m.shelf.release(p.uses)
	return nil
}

// fillSlab reads the rows of a slab as light, resampled across.
func (w *worker) fillSlab(ctx context.Context, g *grid, b *slab) error {
	if b == nil {
		return nil
	}
	cut, n := g.across.span(span{0, g.across.count}), w.header.Channels
	if !g.across.kept && len(w.light) < w.header.Width {
		w.light = make([]float32, w.header.Width)
	}
	err := w.each(ctx, b.rows, func(y int, row []uint16) {
		if w.invert {
			asSaved(row)
		}
		dst := b.row(y, g.across.count)
		if g.across.kept {
			w.lum.Row(dst, row[cut.from*n:cut.to*n])
			return
		}
		w.lum.Row(w.light[cut.from:cut.to], row[cut.from*n:cut.to*n])
		g.across.axis.across(dst, w.light)
	})
	if err == nil {
		close(b.ready)
	}
	return err
}

// resample makes rows of the grid from the slabs that they lie in.
func (w *worker) resample(ctx context.Context, m *maker, p portion, to taker) error {
	for len(w.rows) < p.need.count() {
		w.rows = append(w.rows, nil)
	}
	if len(w.out) < m.grid.across.count {
		w.out = make([]float32, m.grid.across.count)
	}
	if err := gather(ctx, w.rows, p.need, p.uses, m.grid.across.count); err != nil {
		return err
	}
	out := w.out[:m.grid.across.count]
	for i := p.rows.from; i < p.rows.to; i++ {
		to.light(i, m.grid.row(out, i, w.rows, p.need.from))
	}
	return nil
}
