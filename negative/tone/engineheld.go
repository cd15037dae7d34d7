package tone

import "actinic/negative/raster"

// plan is how a film is made: by how many workers, in bands of how many rows, and
// in how many passes.
type plan struct {
	workers int
	forks   bool // each worker has a reader of its own
	band    int
	perPass int // bands of the film that are held at a time; 0 where rows flow
	maker   *maker
}

// plan works out how to make the film with so many jobs, where unit rows are
// packed together.
func (f *Film) plan(jobs, unit int) plan {
	s, h := f.stages, f.in.header
	film := s.header()
	direct := flows(h, s.grid, f.in.seeker != nil)
	p := plan{forks: forks(h, s.grid, f.src)}
	slab, align := int64(0), 1
	if direct {
		slab, align = lightBytes(s.grid), s.wish(h)
	}
	p.band = bandHeight(2*int64(film.RowSamples()), slab, unit, align)
	p.workers = max(min(cores(jobs), (film.Height+p.band-1)/p.band), 1)
	p.forks = p.forks && p.workers > 1
	if !direct {
		p.perPass = s.perPass(p.band)
		return p
	}
	p.maker = newMaker(s.grid, h, p.band, s.rows.from, p.forks, s.grid.turn.flipY)
	return p
}

// wish returns of how many rows the film's bands should be multiples, so that
// none begins inside what the file keeps together; 1 where that cannot be.
func (s *stages) wish(h raster.Header) int {
	if h.Access != raster.AnyRow || h.BandRows <= 1 || !s.grid.kept() {
		return 1
	}
	start := s.grid.down.first - s.rows.from
	if s.grid.turn.flipY {
		start = s.grid.down.first + s.grid.down.count + s.rows.from
	}
	if start%h.BandRows != 0 {
		return 1
	}
	return h.BandRows
}

// perPass is how many bands of so many rows fit into what may be held; at least
// one.
func (s *stages) perPass(band int) int {
	may := s.o.HeldBytes
	if may == 0 {
		may = DefaultHeldBytes
	}
	return int(max(may/(int64(band)*s.heldRow()), 1))
}

// heldRow is the memory that a row of the picture takes in a pass.
func (s *stages) heldRow() int64 {
	width, _ := s.grid.size()
	return max(s.heldPixel()*int64(width), 1)
}

// heldBytes is all the memory that making the film takes with so many jobs, but
// for the sink's.
func (f *Film) heldBytes(jobs int) int64 {
	p, h, s := f.plan(jobs, 1), f.in.header, f.stages
	film := s.header()
	held := h.HeldBytes + f.inkBytes() + s.grid.across.bytes() + s.grid.down.bytes()
	workers, slots := int64(p.workers), int64(slotsOf(p.workers))
	if p.forks {
		held += (workers - 1) * h.ForkBytes
	}
	if film.Bits == 8 {
		held += 16 * int64(film.RowSamples()) // two rows of carried errors
	}
	// Rows in hand of each worker, and as strips of each band.
	held += (slots + workers) * int64(p.band) * 2 * int64(film.RowSamples())
	m := p.maker
	if p.perPass > 0 {
		var tile int64
		m, tile = f.heldPass(p)
		held += tile
	}
	return held + workers*f.heldWorker(p, m) + heldSlabs(m, p.workers)
}

// heldPass returns the maker of a pass, and the memory of the part held and of
// the tiles.
func (f *Film) heldPass(p plan) (*maker, int64) {
	s := f.stages
	_, height := s.grid.size()
	rows := min(p.perPass*p.band, height)
	g, _ := s.passGrid(span{0, rows})
	band := s.passBand(g)
	tile := s.heldPixel() * int64(band) * int64(g.across.count)
	return newMaker(g, f.in.header, band, 0, p.forks, false), int64(rows)*s.heldRow() + int64(p.workers)*tile
}

// heldWorker is the memory of one worker's rows of the picture.
func (f *Film) heldWorker(p plan, m *maker) int64 {
	h := f.in.header
	rows := groupRows(h)
	if !p.forks && p.workers > 1 {
		rows = m.firstRows()
	}
	held := 2 * int64(rows) * int64(h.RowSamples())
	if !m.fused {
		held += 4*int64(m.grid.across.count) + 24*int64(m.firstRows())
	}
	if !m.grid.across.kept {
		held += 4 * int64(h.Width)
	}
	return held
}

// heldSlabs is the memory of the picture's rows as light.
func heldSlabs(m *maker, workers int) int64 {
	if m.fused {
		return 0
	}
	rows := m.slabs(workers)*m.slabRows() + m.firstRows() - m.slabRows()
	return 4 * int64(m.grid.across.count) * int64(rows)
}
