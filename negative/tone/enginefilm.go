package tone

import "context"

// fillPicture makes the picture's pixels in the rows of band k.
func (r *run) fillPicture(ctx context.Context, w *worker, k int, rows [][]uint16) error {
	film := r.film(k)
	if r.maker != nil {
		return w.make(ctx, r.maker, r.portions[k%len(r.portions)], &filmRows{r.ink, r.s, rows, film.from})
	}
	part := film.meet(r.s.rows)
	for y := part.from; y < part.to; y++ {
		r.holder.row(r.s.part(rows[y-film.from]), y-r.s.rows.from)
	}
	return ctx.Err()
}

// filmRows takes the rows of a grid that lie in the film's order.
type filmRows struct {
	ink
	s     *stages
	rows  [][]uint16 // of the film
	first int
}

// at returns the place of row i of the grid.
func (t *filmRows) at(i int) []uint16 {
	if t.s.grid.turn.flipY {
		i = t.s.grid.down.count - 1 - i
	}
	return t.s.part(t.rows[t.s.rows.from+i-t.first])
}

func (t *filmRows) samples(i int, row []uint16) { t.ink.samples(t.at(i), row) }
func (t *filmRows) light(i int, row []float32)  { t.coder.row(t.at(i), row) }

// frames draws what surrounds the picture. Rows that look alike are drawn once.
type frames struct {
	row   []uint16
	alike span // the film rows that look so
}

func (f *frames) draw(s *stages, dst []uint16, y int) {
	if s.covers(y) {
		return
	}
	if y < f.alike.from || y >= f.alike.to {
		if f.row == nil {
			f.row = make([]uint16, len(dst))
		}
		s.frame(f.row, y)
		f.alike = s.border.alike(y)
	}
	copy(dst, f.row)
}
