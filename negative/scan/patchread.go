package scan

import "math"

// blocks is how many blocks a side an area is cut into, to see how its parts
// differ.
const blocks = 4

// examined is what was seen of an area beyond its reading.
type examined struct {
	expected float64 // pixels that the area would have, were it all in the scan
	inside   int     // pixels that it has
	rejected float64 // share of them without any weight
	high     float64 // share of the others that is clipped at the bright end
	low      float64 // and at the dark end
	root     float64 // mean of the plane's values
	block    [blocks * blocks]float64
	weight   [blocks * blocks]float64 // pixels that count in each block
}

// cellMM is about the size of the cells by which dust is told from the print: a
// speck fills one, and the grain of a print is averaged in it, so that a print of
// dots is not taken for dust. A working value of ours.
const cellMM = 0.3

// Cells on each side of an area: a multiple of blocks.
const leastCells, mostCells = 2 * blocks, 16 * blocks

// reader reads areas of one scan. It is not safe for concurrent use: every core
// has its own.
type reader struct {
	plane *Plane
	clip  *clipping
	tone  *toneTable
	cells []cell
}

// cell is a part of an area: sums over its pixels.
type cell struct {
	n, y, l, ll float64 // pixels, reflectance, L* and its square
	high, low   float64 // pixels that are clipped at the bright and at the dark end
	lstar       float64 // of the mean reflectance
	weight      float64
}

func newReader(p *Plane, c *clipping, t *toneTable) *reader {
	return &reader{plane: p, clip: c, tone: t, cells: make([]cell, mostCells*mostCells)}
}

// read returns the reading of an area: mean reflectance, L*, spread and count.
// SD and Flag are given later, by comparison with other areas.
func (r *reader) read(a area, m pageMap) Reading {
	out := Reading{XMM: a.xMM, YMM: a.yMM}
	across, down := cellsOf(a.halfWMM), cellsOf(a.halfHMM)
	cells := r.cells[:across*down]
	clear(cells)
	r.fillCells(cells, across, down, a.mapping(m, r.plane), &out.seen)
	if out.seen.inside == 0 {
		return out
	}
	weigh(cells)
	mean(cells, &out)
	cutUp(cells, across, down, &out.seen)
	return out
}

func cellsOf(halfMM float64) int {
	n := int(2*halfMM/cellMM/blocks+0.5) * blocks
	return min(max(n, leastCells), mostCells)
}

// fillCells sums up the pixels of an area.
func (r *reader) fillCells(cells []cell, across, down int, at mapping, e *examined) {
	e.expected = at.each(r.plane, func(x, y int, u, v float64) {
		root := r.plane.Root[y*r.plane.Width+x]
		c := &cells[part(v, down)*across+part(u, across)]
		l := float64(r.tone.lstar[root])
		c.n++
		c.y += float64(r.tone.y[root])
		c.l += l
		c.ll += float64(l * l)
		e.inside++
		e.root += float64(root)
		h, dark := r.clip.at(x, y)
		if h {
			c.high++
		}
		if dark {
			c.low++
		}
	})
	e.root /= float64(max(e.inside, 1))
}

// part returns which of n parts holds u, -1 to 1.
func part(u float64, n int) int { return min(int((u+1)*float64(n)/2), n-1) }

// leastSpread is the least L* that is taken for the spread of an area's cells.
const leastSpread = 0.2

// weigh gives every cell its weight: full up to 3 spreads from the median, none
// from 6 on, and in proportion between. So the mean of an ordinary area is its
// plain mean, and dust has no say. (Hampel's three-part weights, from memory; the
// limits are working values of ours.)
func weigh(cells []cell) {
	var lstar, off []float64
	for i := range cells {
		if c := &cells[i]; c.n > 0 {
			c.lstar = lightness(c.y / c.n)
			lstar = append(lstar, c.lstar)
		}
	}
	centre := median(lstar)
	for _, l := range lstar {
		off = append(off, math.Abs(l-centre))
	}
	scale := max(1.4826*median(off), leastSpread)
	for i := range cells {
		if c := &cells[i]; c.n > 0 {
			c.weight = min(max((6-math.Abs(c.lstar-centre)/scale)/3, 0), 1)
		}
	}
}

// mean takes the weighted means of the cells.
func mean(cells []cell, out *Reading) {
	var n, y, l, ll, count, rejected, high, low float64
	for i := range cells {
		c := &cells[i]
		if c.weight == 0 {
			rejected += c.n
			continue
		}
		count, high, low = count+c.n, high+c.high, low+c.low
		n += float64(c.weight * c.n)
		y += float64(c.weight * c.y)
		l += float64(c.weight * c.l)
		ll += float64(c.weight * c.ll)
	}
	out.seen.rejected = rejected / (rejected + count)
	out.seen.high, out.seen.low = high/count, low/count
	out.Count = int(count)
	out.y = y / n
	out.Lstar = lightness(out.y)
	out.Spread = math.Sqrt(max(ll/n-float64(l/n*(l/n)), 0))
}

// cutUp means L* in blocks of cells.
func cutUp(cells []cell, across, down int, e *examined) {
	var y [blocks * blocks]float64
	for i := range cells {
		c := &cells[i]
		b := i/across*blocks/down*blocks + i%across*blocks/across
		e.weight[b] += float64(c.weight * c.n)
		y[b] += float64(c.weight * c.y)
	}
	for b, n := range e.weight {
		if n > 0 {
			e.block[b] = lightness(y[b] / n)
		}
	}
}
