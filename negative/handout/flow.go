package handout

// area is where columns of a page stand.
type area struct {
	x, y, heightMM float64
}

// spot is a row with its place.
type spot struct {
	row  *row
	x, y float64
}

// flow deals rows to columns. Each call of next gives one page's columns, all of
// the same width. The columns of the last page end level.
func flow(rows []row, next func(page int) []area) [][]spot {
	var pages [][]spot
	for len(rows) > 0 {
		areas := next(len(pages))
		n, spots := deal(rows, areas)
		if n == len(rows) {
			spots = level(rows, areas)
		}
		pages = append(pages, spots)
		rows = rows[n:]
	}
	return pages
}

// deal fills columns with rows and returns how many it took: one at least, so
// that no row can stop the flow.
func deal(rows []row, areas []area) (int, []spot) {
	var spots []spot
	taken := 0
	for _, a := range areas {
		n := fitting(rows[taken:], a.heightMM)
		if n == 0 && taken == 0 && a == areas[len(areas)-1] && len(rows) > 0 {
			n = 1
		}
		y := a.y
		for i := range n {
			r := &rows[taken+i]
			if i > 0 {
				y += r.gapMM
			}
			spots = append(spots, spot{r, a.x, y})
			y += r.heightMM
		}
		taken += n
	}
	return taken, spots
}

// fitting returns how many rows a column of a height holds, not parting those
// that stay together unless nothing else would fit.
func fitting(rows []row, heightMM float64) int {
	const slackMM = 1e-6
	most, good, used := 0, 0, 0.0
	for i := range rows {
		if i > 0 {
			used += rows[i].gapMM
		}
		if used += rows[i].heightMM; used > heightMM+slackMM {
			break
		}
		most = i + 1
		if !rows[i].keep {
			good = most
		}
	}
	switch {
	case most == len(rows):
		return most
	case good > 0:
		return good
	}
	return most
}

// level deals the last rows to columns that are as short as they can be.
func level(rows []row, areas []area) []spot {
	const leastMM, stepMM = 20.0, 1.0 // less would part a heading from its section
	full := areas[0].heightMM
	for h := leastMM; h < full; h += stepMM {
		short := make([]area, len(areas))
		for i, a := range areas {
			short[i] = area{a.x, a.y, min(h, a.heightMM)}
		}
		if n, spots := deal(rows, short); n == len(rows) {
			return spots
		}
	}
	_, spots := deal(rows, areas)
	return spots
}
