package tone

// turn is what happens to a grid between the file and the film: first, if
// transpose is set, rows become columns; then columns and rows are reversed.
// The eight orientations, quarter turns and the mirror are a group, so any chain
// of them is one turn.
type turn struct{ transpose, flipX, flipY bool }

// turns lists the orientations of TIFF tag 274 (TIFF 6.0, 1992, page 36; the
// same numbers in EXIF): how to turn the stored grid to see it upright.
var turns = [9]turn{
	1: {},
	2: {flipX: true},
	3: {flipX: true, flipY: true},
	4: {flipY: true},
	5: {transpose: true},
	6: {transpose: true, flipX: true},
	7: {transpose: true, flipX: true, flipY: true},
	8: {transpose: true, flipY: true},
}

var mirror = turns[2]

// upright returns the turn from a stored grid to an upright picture. An
// orientation outside 1..8 counts as 1, as TIFF readers do.
func upright(orientation int) turn {
	if orientation < 1 || orientation > 8 {
		orientation = 1
	}
	return turns[orientation]
}

// clockwise returns the turn by 0, 90, 180 or 270 degrees.
func clockwise(degrees int) turn {
	return turns[[4]int{1, 6, 3, 8}[degrees/90%4]]
}

// then is t followed by u as one turn.
func (t turn) then(u turn) turn {
	if u.transpose { // what reversed columns reverses rows from here on
		t = turn{!t.transpose, t.flipY, t.flipX}
	}
	return turn{t.transpose, t.flipX != u.flipX, t.flipY != u.flipY}
}

// size returns the width and height of a grid after the turn.
func (t turn) size(width, height int) (int, int) {
	if t.transpose {
		return height, width
	}
	return width, height
}

// stored returns where in a stored grid (its own width and height) the pixel
// (x, y) of the turned grid is.
func (t turn) stored(x, y, width, height int) (int, int) {
	w, h := t.size(width, height)
	if t.flipX {
		x = w - 1 - x
	}
	if t.flipY {
		y = h - 1 - y
	}
	if t.transpose {
		return y, x
	}
	return x, y
}

// rect is a part of a grid of pixels: x0 <= x < x1, y0 <= y < y1.
type rect struct{ x0, y0, x1, y1 int }

func (r rect) width() int  { return r.x1 - r.x0 }
func (r rect) height() int { return r.y1 - r.y0 }

// span is a run of rows or columns: from <= i < to.
type span struct{ from, to int }

func (s span) count() int { return max(s.to-s.from, 0) }

// meet returns what s and o have in common; its count is 0 when that is nothing.
func (s span) meet(o span) span {
	both := span{max(s.from, o.from), min(s.to, o.to)}
	if both.to < both.from {
		both.to = both.from
	}
	return both
}

// shift returns s moved by by.
func (s span) shift(by int) span { return span{s.from + by, s.to + by} }

// reversed returns s as seen from the other end of n.
func (s span) reversed(n int) span { return span{n - s.to, n - s.from} }
