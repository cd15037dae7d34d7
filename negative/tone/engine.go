package tone

import (
	"context"

	"actinic/negative/raster"
)

// run is one making of a film: in bands, by several workers, finished in order.
// Where the picture's rows do not come in the film's order, it makes the film in
// passes, each of which holds a part of it.
type run struct {
	s       *stages
	picture raster.Header
	band    int // rows in a band of the film
	workers []*worker
	forks   []raster.Forker
	maker   *maker // nil where there are passes
	holder  holder // of the part that is held
	perPass int    // bands in a pass
	ink     ink
	dither  *Diffuser
	relay   relay // of the dither, from band to band

	sink     raster.Sink
	strips   raster.StripSink // the same, if it takes strips
	portions []portion        // of the bands in hand
	rows     [][][]uint16     // of the bands in hand
	packed   [][]raster.Strip // of the bands in hand
}

// newRun plans a run by so many workers at most. sink may be nil: then rows are
// asked for with next.
func (f *Film) newRun(jobs int, sink raster.Sink) (*run, error) {
	r := &run{s: f.stages, picture: f.in.header, sink: sink}
	r.strips, _ = sink.(raster.StripSink)
	p := f.plan(jobs, r.unit())
	r.band, r.perPass = p.band, p.perPass
	if err := r.hire(f, p); err != nil {
		r.close()
		return nil, err
	}
	n, h := slotsOf(len(r.workers)), f.header
	r.portions, r.rows, r.packed = make([]portion, n), make([][][]uint16, n), make([][]raster.Strip, n)
	if h.Bits == 8 {
		r.dither, r.relay = NewDiffuser(h.Width, h.Height, h.Channels), newRelay(n)
	}
	r.maker, r.ink = p.maker, f.newInk(p.perPass == 0 && r.s.grid.turn.flipX)
	if p.perPass > 0 {
		r.holder = r.newHolder(f)
	}
	return r, nil
}

// unit is how many rows are packed together.
func (r *run) unit() int {
	if r.strips != nil {
		return max(r.strips.StripRows(), 1)
	}
	return 1
}

// hire sets up the workers, each with a reader of its own where that can be.
func (r *run) hire(f *Film, p plan) error {
	shared := p.workers > 1 && !p.forks
	for i := range p.workers {
		in := f.in
		if i > 0 && p.forks {
			fork, err := f.src.(raster.Forker).Fork()
			if err != nil {
				return err
			}
			r.forks = append(r.forks, fork)
			in = newRowReader(fork)
		}
		r.workers = append(r.workers, f.newWorker(in, shared))
		if r.strips != nil {
			r.workers[i].packer = r.strips.NewPacker()
		}
	}
	return nil
}

func (f *Film) newWorker(in *rowReader, shared bool) *worker {
	return &worker{in: in, shared: shared, header: in.header, lum: f.lum, invert: f.stages.o.InputNegative}
}

func (r *run) close() {
	for _, f := range r.forks {
		f.Close()
	}
	r.forks, r.holder = nil, nil
}

// bands is how many bands the film has.
func (r *run) bands() int { return (r.s.border.height + r.band - 1) / r.band }

// film returns the film rows of band k.
func (r *run) film(k int) span {
	return span{k * r.band, min((k+1)*r.band, r.s.border.height)}
}

// all makes the whole film for the sink.
func (r *run) all(ctx context.Context) error {
	per := r.bands()
	if r.perPass > 0 {
		per = r.perPass
	}
	for k := 0; k < r.bands(); k += per {
		leg := span{k, min(k+per, r.bands())}
		if err := r.prepare(ctx, k); err != nil {
			return err
		}
		if err := inOrder(ctx, len(r.workers), leg, steps{r.begin, r.work, r.finish}); err != nil {
			return err
		}
	}
	return nil
}

// begin takes on band k.
func (r *run) begin(ctx context.Context, worker, k int) error {
	if r.maker == nil {
		return ctx.Err()
	}
	p := r.maker.begin(r.s.grid.rowsFor(r.film(k).meet(r.s.rows).shift(-r.s.rows.from)))
	r.portions[k%len(r.portions)] = p
	return r.workers[worker].fetch(ctx, p)
}

// work makes band k and packs it if the sink takes strips.
func (r *run) work(ctx context.Context, worker, k int) error {
	w, slot := r.workers[worker], k%len(r.rows)
	keep := &r.rows[slot]
	if w.packer != nil {
		keep = &w.film
	}
	if *keep == nil {
		*keep = raster.NewBand(r.s.header(), r.band)
	}
	rows := (*keep)[:r.film(k).count()]
	if err := r.fill(ctx, w, k, rows); err != nil {
		return err
	}
	if w.packer == nil {
		return nil
	}
	var err error
	r.packed[slot], err = packAll(w.packer, rows, r.unit(), r.packed[slot][:0])
	return err
}

func packAll(p raster.Packer, rows [][]uint16, unit int, to []raster.Strip) ([]raster.Strip, error) {
	for len(rows) > 0 {
		n := min(unit, len(rows))
		s, err := p.Pack(rows[:n])
		if err != nil {
			return to, err
		}
		to, rows = append(to, s), rows[n:]
	}
	return to, nil
}

// fill makes the rows of band k.
func (r *run) fill(ctx context.Context, w *worker, k int, rows [][]uint16) error {
	film := r.film(k)
	for i, row := range rows {
		w.frame.draw(r.s, row, film.from+i)
	}
	if err := r.fillPicture(ctx, w, k, rows); err != nil {
		return err
	}
	if r.dither == nil {
		return nil
	}
	return r.relay.leg(ctx, k, func() { r.dither.Rows(rows, 1) })
}

// finish gives band k to the sink.
func (r *run) finish(ctx context.Context, k int) error {
	slot := k % len(r.rows)
	if r.strips == nil {
		return r.sink.WriteRows(ctx, r.rows[slot][:r.film(k).count()])
	}
	for i, s := range r.packed[slot] {
		r.packed[slot][i] = raster.Strip{}
		if err := r.strips.WriteStrip(ctx, s); err != nil {
			return err
		}
	}
	return nil
}
