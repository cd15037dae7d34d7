package raster

import "context"

// Oriented returns src turned upright by its orientation and then, if asked,
// mirrored left to right: both as one step. Its header has the upright size,
// orientation 1 and resolutions to match. Closing it closes src.
//
// Rows that only have to be reversed flow through. An upside-down picture that
// is a RowSeeker comes by bands, the lowest first; HeldBytes counts one band.
// All else holds the picture from the first row read on: 2 bytes a sample,
// counted too.
func Oriented(src Source, mirror bool) Source {
	h := src.Header()
	o := oriented{src: src, stored: h, head: h, turn: turnFor(h.Orientation, mirror)}
	o.head.Orientation, o.head.Access = 1, Sequential
	seeker, seeks := src.(RowSeeker)
	switch {
	case !o.turn.transpose && !o.turn.flipY:
		return &o
	case !o.turn.transpose && seeks && h.Access != Sequential:
		return newClimbing(o, seeker)
	}
	return newHolding(o)
}

// turn is what happens to a grid of pixels: first, if transpose is set, rows
// become columns; then columns and rows are reversed. The eight orientations and
// the mirror are a group, so any chain of them is one turn.
type turn struct{ transpose, flipX, flipY bool }

// turnFor returns the turn of TIFF tag 274 (TIFF 6.0, page 36) and the mirror.
func turnFor(orientation int, mirror bool) turn {
	turns := [9]turn{{}, {}, {flipX: true}, {flipX: true, flipY: true}, {flipY: true},
		{transpose: true}, {transpose: true, flipX: true}, {true, true, true}, {transpose: true, flipY: true}}
	if orientation < 1 || orientation > 8 {
		orientation = 1
	}
	t := turns[orientation]
	t.flipX = t.flipX != mirror
	return t
}

// oriented is a picture whose rows flow through, reversed or not.
type oriented struct {
	src    Source
	turn   turn
	head   Header
	stored Header
}

func (o *oriented) Header() Header { return o.head }
func (o *oriented) Restart() error { return o.src.Restart() }
func (o *oriented) Close() error   { return o.src.Close() }

// Seen passes on what the picture's own source saw.
func (o *oriented) Seen() []string {
	if w, ok := o.src.(Witness); ok {
		return w.Seen()
	}
	return nil
}

func (o *oriented) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	n, err := o.src.ReadRows(ctx, dst)
	o.reverse(dst[:n])
	return n, err
}

// reverse turns rows end to end, pixel by pixel, where the turn says so.
func (o *oriented) reverse(rows [][]uint16) {
	if !o.turn.flipX {
		return
	}
	n := o.stored.Channels
	for _, row := range rows {
		for i, j := 0, o.stored.RowSamples()-n; i < j; i, j = i+n, j-n {
			for c := range n {
				row[i+c], row[j+c] = row[j+c], row[i+c]
			}
		}
	}
}
