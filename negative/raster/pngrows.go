package raster

import "io"

// pngRows inflates rows and undoes their filters (PNG, 2nd edition, clause 9).
type pngRows struct {
	r     io.Reader
	step  int // bytes of a pixel, at least 1
	row   []byte
	above []byte // both with the filter byte first
}

func newPNGRows(r io.Reader, rowBytes, step int) *pngRows {
	return &pngRows{r, step, make([]byte, 1+rowBytes), make([]byte, 1+rowBytes)}
}

// next returns the bytes of the next row, good until the row after it.
func (p *pngRows) next() ([]byte, error) {
	p.row, p.above = p.above, p.row
	if _, err := io.ReadFull(p.r, p.row); err != nil {
		return nil, err
	}
	row, above := p.row[1:], p.above[1:]
	switch p.row[0] {
	case 0:
	case 1:
		undo8(row, p.step)
	case 2:
		for i, v := range above {
			row[i] += v
		}
	case 3:
		undoAverage(row, above, p.step)
	case 4:
		undoPaeth(row, above, p.step)
	default:
		return nil, broken("PNG", "picture data", "a row has filter %d, expected 0 to 4", p.row[0])
	}
	return row, nil
}

func undoAverage(row, above []byte, step int) {
	for i := range row {
		left := 0
		if i >= step {
			left = int(row[i-step])
		}
		row[i] += byte((left + int(above[i])) / 2)
	}
}

func undoPaeth(row, above []byte, step int) {
	for i := range row {
		if i < step {
			row[i] += above[i]
			continue
		}
		row[i] += paeth(row[i-step], above[i], above[i-step])
	}
}

// paeth returns the neighbour nearest to left + up - corner (PNG, 9.4).
func paeth(left, up, corner byte) byte {
	p := int(left) + int(up) - int(corner)
	toLeft, toUp, toCorner := distance(p, left), distance(p, up), distance(p, corner)
	switch {
	case toLeft <= toUp && toLeft <= toCorner:
		return left
	case toUp <= toCorner:
		return up
	}
	return corner
}

func distance(p int, v byte) int {
	if d := p - int(v); d >= 0 {
		return d
	}
	return int(v) - p
}
