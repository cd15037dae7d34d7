package tone

import "context"

// held holds rows of the turned grid: a T a pixel.
type held[T uint16 | float32] struct {
	s *stages
	// samples and light make a row of T of the picture's samples or of light, film
	// makes the film's codes of it.
	samples func(dst []T, row []uint16)
	light   func(dst []T, row []float32)
	film    func(dst []uint16, row []T)

	rows  span
	width int
	pix   []T
	tiles freeList[T]
}

func (h *held[T]) begin(rows span) {
	h.rows = rows
	h.width, _ = h.s.grid.size()
	if need := rows.count() * h.width; len(h.pix) < need {
		h.pix = nil // let go before more is taken
		h.pix = make([]T, need)
	}
}

func (h *held[T]) at(y int) []T { return h.pix[(y-h.rows.from)*h.width:][:h.width] }

func (h *held[T]) row(dst []uint16, y int) { h.film(dst, h.at(y)) }

func (h *held[T]) make(ctx context.Context, w *worker, m *maker, p portion, first [2]int) error {
	t := tile[T]{held: h, width: m.grid.across.count, first: p.rows.from}
	t.pix = h.tiles.take(m.band*t.width, 0)
	defer h.tiles.give(t.pix)
	if err := w.make(ctx, m, p, &tileRows[T]{t}); err != nil {
		return err
	}
	rows := p.rows.shift(first[1])
	if h.s.grid.turn.transpose {
		t.turn(span{first[0], first[0] + t.width}, rows)
	} else {
		t.reverse(rows)
	}
	return nil
}

// tile is a band of the grid, as stored, on its way into what is held.
type tile[T uint16 | float32] struct {
	*held[T]
	pix          []T
	width, first int
}

func (t *tile[T]) stored(i int) []T { return t.pix[(i-t.first)*t.width:][:t.width] }

// tileRows takes the rows of a tile.
type tileRows[T uint16 | float32] struct{ tile[T] }

func (t *tileRows[T]) samples(i int, row []uint16) { t.held.samples(t.stored(i), row) }
func (t *tileRows[T]) light(i int, row []float32)  { t.held.light(t.stored(i), row) }

// turn scatters a tile, which has these columns and rows of the whole grid:
// columns become rows.
func (t *tile[T]) turn(columns, rows span) {
	width, height := t.s.grid.size()
	x, step := rows.from, 1
	if t.s.grid.turn.flipX {
		x, step = width-1-rows.from, -1
	}
	for c := columns.from; c < columns.to; c++ {
		y := c
		if t.s.grid.turn.flipY {
			y = height - 1 - c
		}
		column(t.at(y), t.pix[c-columns.from:], x, step, t.width, rows.count())
	}
}

// column copies every stride-th of src to dst from x on.
func column[T any](dst, src []T, x, step, stride, count int) {
	for i, at := 0, 0; i < count; i, at = i+1, at+stride {
		dst[x] = src[at]
		x += step
	}
}

// reverse copies the rows of a tile, which are these of the whole grid, to where
// they lie upside down or end to end.
func (t *tile[T]) reverse(rows span) {
	for i := range rows.count() {
		y := t.s.grid.rowsFor(span{rows.from + i, rows.from + i + 1}).from
		dst := t.at(y)
		copy(dst, t.stored(t.first+i))
		if t.s.grid.turn.flipX {
			for a, z := 0, len(dst)-1; a < z; a, z = a+1, z-1 {
				dst[a], dst[z] = dst[z], dst[a]
			}
		}
	}
}
