package tone

import "actinic/negative/raster"

// maker makes the rows of a grid in bands, which come in one direction. Its
// begin is called in their order, the rest by several workers at once.
type maker struct {
	grid    *grid
	band    int  // rows in most bands
	falling bool // the bands come from the bottom
	fused   bool // rows go straight from the picture's samples to codes
	align   int  // the picture's rows are read in multiples of this
	end     span // all rows of the picture that are needed
	edge    int  // where the next band begins to read
	shelf   *shelf
}

// newMaker plans the making of all rows of a grid, band rows at a time, of which
// the first has seam rows less. apart says that bands are read apart from each
// other, by several readers; falling ones always are.
func newMaker(g *grid, h raster.Header, band, seam int, apart, falling bool) *maker {
	m := &maker{grid: g, band: band, falling: falling, align: 1, end: g.down.span(span{0, g.down.count})}
	if (apart || falling) && h.Access == raster.AnyRow {
		m.align = max(h.BandRows, 1)
	}
	m.fused = g.kept() && m.aligned(seam)
	if falling {
		m.edge = m.end.to
	}
	m.shelf = &shelf{columns: g.across.count, usual: m.slabRows()}
	return m
}

// aligned reports whether bands of a kept grid begin where the file's bands do.
func (m *maker) aligned(seam int) bool {
	start := m.end.from - seam
	if m.falling {
		start = m.end.to + seam
	}
	return m.align == 1 || m.band%m.align == 0 && start%m.align == 0
}

// slabRows is how many of the picture's rows most bands read at most.
func (m *maker) slabRows() int {
	rows := m.grid.down.sourcesOf(m.band) + m.align - 1
	return min(rows, m.end.count()+m.align, m.grid.down.sources)
}

// firstRows is how many the first band reads, with what the kernel reaches beyond.
func (m *maker) firstRows() int {
	return min(m.slabRows()+m.grid.down.reach(), m.grid.down.sources)
}

// slabs is how many slabs are held at most by so many workers: each one's, and
// those before that the kernel reaches into.
func (m *maker) slabs(workers int) int {
	slab := m.slabRows()
	before := (m.grid.down.reach() + slab - 1) / slab
	return min(workers+before, (m.end.count()+slab-1)/slab+1)
}

// portion is the work of one band.
type portion struct {
	rows       span // of the grid
	need, read span // of the picture: what it takes, and what it reads itself
	own        *slab
	uses       []*slab
}

// begin returns the work that makes some rows of the grid.
func (m *maker) begin(rows span) portion {
	p := portion{rows: rows, need: m.grid.down.span(rows)}
	if rows.count() == 0 {
		return p
	}
	if m.fused {
		p.read = p.need
		return p
	}
	p.read = m.reads(p.need)
	p.own, p.uses = m.shelf.place(p.read, p.need, m.falling)
	return p
}

// reads returns the rows to read for those needed: what was not read before, and
// up to where the file keeps its rows apart.
func (m *maker) reads(need span) span {
	if m.falling {
		low := max(need.from/m.align*m.align, min(m.end.from, m.edge))
		r := span{low, m.edge}
		m.edge = min(m.edge, low)
		return r
	}
	high := min((need.to+m.align-1)/m.align*m.align, m.end.to)
	r := span{max(m.edge, m.end.from), high}
	m.edge = max(m.edge, high)
	return r
}
