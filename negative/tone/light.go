package tone

import "math"

// grid says how the stored rows of a picture become the light of a film: which
// rows and columns, resampled how, and turned how. Rows and columns of a grid
// are those of its result before the turn.
type grid struct {
	across, down side
	turn         turn // from there to the film
}

// newGrid plans a stored picture of width x height pixels. face is the turn by
// which the layout sees it, final the one that puts it on the film.
func newGrid(width, height int, l *layout, face, final turn) *grid {
	shown := l.shown()
	h := stretchOf{l.window[0], l.window[2], l.picture.width(), shown.x0 + l.part.x0 - l.picture.x0, shown.width()}
	v := stretchOf{l.window[1], l.window[3], l.picture.height(), shown.y0 + l.part.y0 - l.picture.y0, shown.height()}
	if face.transpose {
		h, v = v, h
	}
	// After a transpose, reversing the upright columns reverses the stored rows.
	flipH, flipV := face.flipX, face.flipY
	if face.transpose {
		flipH, flipV = flipV, flipH
	}
	if flipH {
		h = h.reversed(width)
	}
	if flipV {
		v = v.reversed(height)
	}
	return &grid{across: newSide(width, h), down: newSide(height, v), turn: final}
}

// size returns width and height after the turn.
func (g *grid) size() (int, int) { return g.turn.size(g.across.count, g.down.count) }

// kept reports whether every pixel of the result is a pixel of the picture.
func (g *grid) kept() bool { return g.across.kept && g.down.kept }

// only returns the grid of some of its columns and rows.
func (g *grid) only(columns, rows span) *grid {
	return &grid{across: g.across.only(columns), down: g.down.only(rows), turn: g.turn}
}

// rowsFor returns the rows that make the rows r of the turned grid, which must
// not be transposed.
func (g *grid) rowsFor(r span) span {
	if g.turn.flipY {
		return r.reversed(g.down.count)
	}
	return r
}

// side is one direction of a grid: a run of the picture's own samples, or
// resampled by an axis.
type side struct {
	sources, count int
	stretch        stretchOf
	kept           bool
	first          int   // of the picture's samples, where they are kept
	axis           *axis // where they are not
}

func newSide(sources int, s stretchOf) side {
	d := side{sources: sources, count: s.count, stretch: s}
	if first := int(s.from) + s.first; s.to-s.from == float64(s.full) && s.from == float64(int(s.from)) &&
		first >= 0 && first+s.count <= sources {
		d.kept, d.first = true, first
	} else if s.count > 0 {
		d.axis = newAxis(sources, s)
	}
	return d
}

// only returns the side of some of its results.
func (d side) only(s span) side {
	if s == (span{0, d.count}) {
		return d
	}
	part := d.stretch
	part.first, part.count = part.first+s.from, s.count()
	return newSide(d.sources, part)
}

// span returns the picture's samples that some results need.
func (d side) span(results span) span {
	switch {
	case results.count() == 0:
		return span{}
	case d.kept:
		return results.shift(d.first)
	}
	first, end := d.axis.span(results.from, results.to)
	return span{first, end}
}

// reach is how many of the picture's samples one result needs at most.
func (d side) reach() int {
	if d.kept {
		return min(d.count, 1)
	}
	most := 0
	for i := range d.count {
		most = max(most, d.span(span{i, i + 1}).count())
	}
	return most
}

// sourcesOf is how many of the picture's samples so many results move on by, at
// least 1.
func (d side) sourcesOf(results int) int {
	if d.kept || d.stretch.full == 0 {
		return max(results, 1)
	}
	step := (d.stretch.to - d.stretch.from) / float64(d.stretch.full)
	return int(math.Ceil(float64(results)*step)) + 1
}

// bytes is the memory of the weights.
func (d side) bytes() int64 {
	if d.axis == nil {
		return 0
	}
	return d.axis.bytes()
}

// row returns result i from the picture's rows, held as rows[j-base] for row j:
// one of them, or dst filled.
func (g *grid) row(dst []float32, i int, rows [][]float32, base int) []float32 {
	d := &g.down
	if !d.kept {
		d.axis.down(dst, i, rows, base)
		return dst
	}
	row := rows[i+d.first-base]
	if g.across.kept {
		return row
	}
	for x, v := range row[:len(dst)] { // what the kernel overshot
		dst[x] = min(max(v, 0), 1)
	}
	return dst
}
