package tone

import "context"

// A film is made in passes where the picture's rows do not come in its order:
// each pass reads the picture once, holds a part of the film, and then gives it
// away row by row.

// holder is the part of a film that a pass holds.
type holder interface {
	// begin makes room for rows of the turned grid.
	begin(rows span)
	// make makes some of the grid's rows, as stored, and puts them where they
	// belong. Workers use it at once, each for rows of its own. first is the first
	// column and row of the part's grid in the whole.
	make(ctx context.Context, w *worker, m *maker, p portion, first [2]int) error
	// row writes the codes of row y of the turned grid.
	row(dst []uint16, y int)
}

// newHolder returns what holds a film: printer codes where it has one channel,
// light where it has three, which is 2 or 4 bytes a pixel. Both give the codes
// that rows in order get.
func (r *run) newHolder(f *Film) holder {
	if r.s.table.Channels() == 1 {
		return &held[uint16]{s: r.s, samples: r.ink.samples, light: r.ink.coder.row,
			film: func(dst, row []uint16) { copy(dst, row) }}
	}
	return &held[float32]{s: r.s, film: r.ink.coder.row,
		light: func(dst, row []float32) { copy(dst, row) },
		samples: func(dst []float32, row []uint16) {
			if r.s.o.InputNegative {
				asSaved(row)
			}
			f.lum.Row(dst, row)
		}}
}

// prepare holds the part of the film that begins with band k.
func (r *run) prepare(ctx context.Context, k int) error {
	if r.perPass == 0 {
		return nil
	}
	film := span{r.film(k).from, r.film(min(k+r.perPass, r.bands()) - 1).to}
	rows := film.meet(r.s.rows).shift(-r.s.rows.from)
	if rows.count() == 0 {
		return nil
	}
	r.holder.begin(rows)
	g, first := r.s.passGrid(rows)
	m := newMaker(g, r.picture, r.s.passBand(g), 0, len(r.forks) > 0, false)
	portions := make([]portion, slotsOf(len(r.workers)))
	return inOrder(ctx, len(r.workers), span{0, (g.down.count + m.band - 1) / m.band}, steps{
		begin: func(ctx context.Context, worker, k int) error {
			portions[k%len(portions)] = m.begin(span{k * m.band, min((k+1)*m.band, g.down.count)})
			return r.workers[worker].fetch(ctx, portions[k%len(portions)])
		},
		work: func(ctx context.Context, worker, k int) error {
			return r.holder.make(ctx, r.workers[worker], m, portions[k%len(portions)], first)
		},
		finish: func(context.Context, int) error { return nil },
	})
}

// passGrid returns the part of the grid that makes some rows of the turned one,
// and where its first column and row lie in the whole, as stored.
func (s *stages) passGrid(rows span) (*grid, [2]int) {
	columns, down := span{0, s.grid.across.count}, span{0, s.grid.down.count}
	part := rows
	if _, height := s.grid.size(); s.grid.turn.flipY {
		part = rows.reversed(height)
	}
	if s.grid.turn.transpose {
		columns = part
	} else {
		down = part
	}
	return s.grid.only(columns, down), [2]int{columns.from, down.from}
}

// leastTile makes each row that a tile is scattered to take a line of the
// processor's cache or more.
const leastTile = 32

// passBand is how many stored rows are turned at a time.
func (s *stages) passBand(g *grid) int {
	return max(bandHeight(s.heldPixel()*int64(g.across.count), lightBytes(g), 1, 1), leastTile)
}

// heldPixel is the memory that a pixel takes in a pass.
func (s *stages) heldPixel() int64 {
	if s.table.Channels() == 1 {
		return 2
	}
	return 4
}
