package sheet

// cut is a line to cut along, or a short mark that shows where it runs.
type cut struct{ x1, y1, x2, y2 float64 }

const (
	cutMM        = 2.0 // length of a cut mark
	cutFromMM    = 0.3 // where it begins, outside what is cut out
	leastCutGap  = 1.0 // millimetres between negatives that marks or lines need
	cutLineFilm  = 0.4 // what lines leave between them and what lies across
	mostCutOut   = 1.0 // how far a line between two blocks stands out of their row
	cutMarkSpace = cutMM + cutFromMM
)

// cutMarks are two strokes at each corner of each block, in line with its sides:
// a rule laid along two of them shows the cut.
func cutMarks(all []Placement, gapMM float64) []cut {
	from, to := cutFromMM, min(cutMarkSpace, gapMM-cutFromMM)
	var cuts []cut
	for _, p := range all {
		r := p.rect()
		for _, x := range []float64{r.x, r.right()} {
			cuts = append(cuts, cut{x, r.y - from, x, r.y - to}, cut{x, r.bottom() + from, x, r.bottom() + to})
		}
		for _, y := range []float64{r.y, r.bottom()} {
			cuts = append(cuts, cut{r.x - from, y, r.x - to, y}, cut{r.right() + from, y, r.right() + to, y})
		}
	}
	return cuts
}

// cutLines are the lines of a page in rows: from edge to edge of the film between
// two rows, then from row to row between two blocks. A guillotine needs no more.
func cutLines(all []Placement, film rect, gapMM float64) []cut {
	var cuts []cut
	rows := rowsOf(all)
	for i, row := range rows {
		top, bottom := rowEnds(row)
		out := min(gapMM/2-cutLineFilm, mostCutOut) // of the row
		if i+1 < len(rows) {
			next, _ := rowEnds(rows[i+1])
			y := (bottom + next) / 2
			cuts = append(cuts, cut{film.x, y, film.right(), y})
		}
		for k := range row[1:] {
			x := (row[k].rect().right() + row[k+1].rect().x) / 2
			cuts = append(cuts, cut{x, top - out, x, bottom + out})
		}
	}
	return cuts
}

// rowsOf splits placements in rows, as packRows made them.
func rowsOf(all []Placement) [][]Placement {
	var rows [][]Placement
	for len(all) > 0 {
		n := 1
		for n < len(all) && all[n].corner.y == all[0].corner.y && all[n].corner.x > all[n-1].corner.x {
			n++
		}
		rows = append(rows, all[:n])
		all = all[n:]
	}
	return rows
}

// rowEnds returns the top of a row and the bottom of its tallest block.
func rowEnds(row []Placement) (top, bottom float64) {
	top = row[0].corner.y
	for _, p := range row {
		bottom = max(bottom, p.rect().bottom())
	}
	return top, bottom
}

func drawCuts(c *canvas, cuts []cut) {
	c.pen(lineMM)
	for _, k := range cuts {
		c.line(k.x1, k.y1, k.x2, k.y2)
	}
}
