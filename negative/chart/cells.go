package chart

// The pitch of patches: below the least a scan of coated paper has too few
// clean pixels. Few patches stand far apart, so that they tell of the whole
// sheet (working values of ours).
const (
	leastPitchUM = 6000
	mostPitchUM  = 40_000
	mostPatchUM  = 14_000
)

// cell is a place for one patch: its row and column, and the patch's box.
type cell struct {
	row, col int
	at       box
}

// lattice is a regular grid over the field of a plan. Cells that would meet
// something else are left out.
type lattice struct {
	plan       *plan
	field      box
	cols, rows int
	marks      []Mark // inside the field
	blocked    []box
}

// layCells returns the cells, at least n, of the widest grid that has so many,
// in rows from the top, and the marks that stand among them. It reports false
// when even the narrowest has fewer.
func layCells(p *plan, n int) ([]cell, []Mark, bool) {
	var best *lattice
	widest := 0
	for _, l := range lattices(p) {
		if pitch := l.pitch(); pitch > widest && l.cols*l.rows >= n && l.regular() && l.settle(n) {
			best, widest = l, pitch
		}
	}
	if best == nil {
		return nil, nil, false
	}
	return best.cells(), best.marks, true
}

// lattices returns every grid worth trying.
func lattices(p *plan) []*lattice {
	var all []*lattice
	for _, f := range p.fields {
		for cols := 1; cols <= f.w/leastPitchUM; cols++ {
			for rows := 1; rows <= f.h/leastPitchUM; rows++ {
				all = append(all, &lattice{plan: p, field: f, cols: cols, rows: rows})
			}
		}
	}
	return all
}

func (l *lattice) wide() int { return l.field.w / l.cols }
func (l *lattice) high() int { return l.field.h / l.rows }

// pitch is the shorter side of a cell.
func (l *lattice) pitch() int { return min(l.wide(), l.high()) }

// regular reports whether cells are neither too wide nor far from square.
func (l *lattice) regular() bool {
	w, h := l.wide(), l.high()
	return max(w, h) <= mostPitchUM && 4*max(w, h) <= 5*min(w, h)
}

// settle places the inner marks and reports whether n cells are left.
func (l *lattice) settle(n int) bool {
	l.blocked = l.plan.taken
	l.marks = l.innerMarks()
	for _, m := range l.marks {
		l.blocked = append(l.blocked[:len(l.blocked):len(l.blocked)], around(um(m.XMM), um(m.YMM), l.plan.band))
	}
	return l.count() >= n
}

// box is the whole cell at a row and column.
func (l *lattice) box(row, col int) box {
	f := l.field
	x, y := f.w*col/l.cols, f.h*row/l.rows
	return box{f.x + x, f.y + y, f.w*(col+1)/l.cols - x, f.h*(row+1)/l.rows - y}
}

// patch is the patch in a cell: the cell less the gap, in its middle.
func (l *lattice) patch(row, col int) box {
	b := l.box(row, col)
	w, h := min(l.wide()-gapUM, mostPatchUM), min(l.high()-gapUM, mostPatchUM)
	return box{b.x + (b.w-w)/2, b.y + (b.h-h)/2, w, h}
}

// free reports whether a patch keeps the gap from all that is taken.
func (l *lattice) free(b box) bool {
	for _, t := range l.blocked {
		if t.meets(b.grow(gapUM / 2)) {
			return false
		}
	}
	return true
}

func (l *lattice) count() int {
	n := 0
	for row := range l.rows {
		for col := range l.cols {
			if l.free(l.patch(row, col)) {
				n++
			}
		}
	}
	return n
}

func (l *lattice) cells() []cell {
	var all []cell
	for row := range l.rows {
		for col := range l.cols {
			if b := l.patch(row, col); l.free(b) {
				all = append(all, cell{row, col, b})
			}
		}
	}
	return all
}

// innerAt are the shares of the field, in per cent, near which marks stand
// inside it.
var innerAt = [][2]int{{34, 30}, {62, 58}, {26, 72}}

// innerMarks puts marks inside the field, each over as few cells as it needs.
// They tell how the print curls between the marks on its edges.
func (l *lattice) innerMarks() []Mark {
	var marks []Mark
	for i := range innerCount(l.plan.film) {
		if x, y, ok := l.innerPlace(innerAt[i], marks); ok {
			marks = append(marks, Mark{ID: name("i", i), XMM: mm(x), YMM: mm(y), DiameterMM: mm(l.plan.mark)})
		}
	}
	return marks
}

// innerCount is how many marks stand inside a field: one on small film, two up
// to A4 and letter, three on larger.
func innerCount(film box) int {
	switch short := min(film.w, film.h); {
	case short < smallFilmUM:
		return 1
	case short < 230_000:
		return 2
	}
	return 3
}

// innerPlace returns the centre of the block of cells that is nearest to a share
// of the field and free.
func (l *lattice) innerPlace(share [2]int, others []Mark) (x, y int, ok bool) {
	f := l.field
	wantX, wantY := f.x+f.w*share[0]/100, f.y+f.h*share[1]/100
	nx, ny := (l.plan.band+gapUM+l.wide()-1)/l.wide(), (l.plan.band+gapUM+l.high()-1)/l.high()
	best := int64(-1)
	for row := 0; row+ny <= l.rows; row++ {
		for col := 0; col+nx <= l.cols; col++ {
			a, z := l.box(row, col), l.box(row+ny-1, col+nx-1)
			cx, cy := (a.x+z.right())/2, (a.y+z.bottom())/2
			dx, dy := int64(cx-wantX), int64(cy-wantY)
			far := dx*dx + dy*dy
			if (best < 0 || far < best) && l.markFits(cx, cy, others) {
				best, x, y = far, cx, cy
			}
		}
	}
	return x, y, best >= 0
}

func (l *lattice) markFits(x, y int, others []Mark) bool {
	at := around(x, y, l.plan.band)
	for _, t := range l.plan.taken {
		if t.meets(at) {
			return false
		}
	}
	for _, m := range others {
		if around(um(m.XMM), um(m.YMM), 2*l.plan.band).meets(at) {
			return false
		}
	}
	return true
}
