package batch

import (
	"context"
	"io"
	"slices"

	"actinic/negative/raster"
	"actinic/negative/tone"
)

// pieceRows gives the rows of a film of pieces. Only the films of the row of
// pieces in hand are open; pieces that show the same share one.
type pieceRows struct {
	plan    *piecePlan
	picture raster.Source // open for as long as the rows are read
	reopen  func() (raster.Source, error)
	y       int                // next row of the film
	row     int                // of plan.rows, in hand or next
	open    map[int]*openPiece // by their place in plan.films
	notices []string
}

// openPiece is one film on its way. Another reader of the picture than the first
// one is its own to close.
type openPiece struct {
	src  raster.Source
	film *tone.Film
	band [][]uint16
}

// pieceBand is how many rows are made at a time.
const pieceBand = 64

func newPieceRows(plan *piecePlan, picture raster.Source, reopen func() (raster.Source, error)) *pieceRows {
	return &pieceRows{plan: plan, picture: picture, reopen: reopen, open: map[int]*openPiece{}}
}

// Header describes the film of pieces.
func (r *pieceRows) Header() raster.Header {
	l := r.plan
	return raster.Header{Width: l.width, Height: l.height, Channels: l.channels, Bits: l.bits, PPIX: l.ppi, PPIY: l.ppi,
		Orientation: 1, BandRows: pieceBand, HeldBytes: l.heldBytes()}
}

// heldBytes is the memory of the row of pieces that takes most.
func (l *piecePlan) heldBytes() int64 {
	most := int64(0)
	for _, row := range l.rows {
		sum, last := l.shared, -1
		for _, p := range row.places {
			if f := l.films[p.film]; p.film != last {
				sum += f.heldBytes - l.shared + 2*int64(pieceBand*f.width*f.table.Channels())
				last = p.film
			}
		}
		most = max(most, sum)
	}
	return most
}

// ReadRows gives the next rows of the film; fewer than asked where a row of
// pieces begins or ends.
func (r *pieceRows) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	end, inside, err := r.section()
	if err != nil {
		return 0, err
	}
	n := min(len(dst), end-r.y, pieceBand)
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	for i := range n {
		r.plan.background(dst[i], r.y+i)
	}
	if inside {
		if err := r.pieces(ctx, dst[:n]); err != nil {
			return 0, err
		}
	}
	r.y += n
	return n, nil
}

// section returns the row where what lies at r.y ends, and whether pieces lie
// there. It opens their films and closes those of the row before.
func (r *pieceRows) section() (end int, inside bool, err error) {
	rows := r.plan.rows
	if r.row < len(rows) && r.y == rows[r.row].top+rows[r.row].height {
		r.row++
		if err := r.closeFilms(); err != nil {
			return 0, false, err
		}
	}
	switch {
	case r.row == len(rows):
		return r.plan.height, false, nil
	case r.y < rows[r.row].top:
		return rows[r.row].top, false, nil
	}
	return rows[r.row].top + rows[r.row].height, true, r.openFilms(rows[r.row])
}

func (r *pieceRows) openFilms(row pieceRow) error {
	for _, p := range row.places {
		if r.open[p.film] != nil {
			continue
		}
		o, err := r.openFilm(&r.plan.films[p.film])
		if err != nil {
			return err
		}
		r.open[p.film] = o
	}
	return nil
}

func (r *pieceRows) openFilm(f *pieceFilm) (*openPiece, error) {
	src, err := r.reader()
	if err != nil {
		return nil, err
	}
	film, err := tone.Negative(src, f.lum, f.table, f.options, pieceCores)
	if err != nil {
		src.Close()
		return nil, err
	}
	h := film.Header()
	return &openPiece{src, film, raster.NewBand(h, min(pieceBand, h.Height))}, nil
}

// reader returns another reader of the picture.
func (r *pieceRows) reader() (raster.Source, error) {
	if f, ok := r.picture.(raster.Forker); ok {
		return f.Fork()
	}
	return r.reopen()
}

// closeFilms closes the films in hand and keeps what they had to say.
func (r *pieceRows) closeFilms() error {
	var failed error
	for i := range r.plan.films { // in this order, so that notices are too
		o := r.open[i]
		if o == nil {
			continue
		}
		for _, n := range o.film.Notices() {
			if !slices.Contains(r.notices, n) {
				r.notices = append(r.notices, n)
			}
		}
		for _, c := range []io.Closer{o.film, o.src} {
			if err := c.Close(); err != nil && failed == nil {
				failed = err
			}
		}
	}
	clear(r.open)
	return failed
}

// Restart makes the next ReadRows begin at the first row again.
func (r *pieceRows) Restart() error {
	r.y, r.row = 0, 0
	return r.closeFilms()
}

// Close frees the films in hand. The picture that it was made with stays open.
func (r *pieceRows) Close() error { return r.closeFilms() }

// pieces makes the next rows of the row of pieces in hand.
func (r *pieceRows) pieces(ctx context.Context, dst [][]uint16) error {
	row := r.plan.rows[r.row]
	last := -1
	have := 0
	for _, p := range row.places {
		f, o := &r.plan.films[p.film], r.open[p.film]
		if p.film != last { // copies lie side by side
			have = max(min(len(dst), f.height-(r.y-row.top)), 0)
			if err := readAll(ctx, o.film, o.band[:have]); err != nil {
				return err
			}
			last = p.film
		}
		x := p.x
		if r.plan.mirrored {
			x = r.plan.width - p.x - f.width
		}
		for i, from := range o.band[:have] {
			r.plan.put(dst[i], x, from, f.width)
		}
	}
	return nil
}

// readAll fills all of band.
func readAll(ctx context.Context, film *tone.Film, band [][]uint16) error {
	for len(band) > 0 {
		n, err := film.ReadRows(ctx, band)
		if err != nil {
			return err
		}
		band = band[n:]
	}
	return nil
}

// put copies a row of a piece to x; grey becomes the film's channels.
func (l *piecePlan) put(dst []uint16, x int, from []uint16, width int) {
	n := l.channels
	to := dst[x*n : (x+width)*n]
	if len(from) == len(to) {
		copy(to, from)
		return
	}
	for i, v := range from {
		to[3*i], to[3*i+1], to[3*i+2] = v, v, v
	}
}

// background draws row y of the film without its pieces: clear film and letters.
func (l *piecePlan) background(dst []uint16, y int) {
	n := l.channels
	for x := range l.width {
		copy(dst[x*n:x*n+n], l.clear)
	}
	for i := range l.texts {
		l.texts[i].row(dst, y, l)
	}
}

// row draws what a line of letters has in row y of the film.
func (t *pieceText) row(dst []uint16, y int, l *piecePlan) {
	if y < t.y || y >= t.y+t.shape.Height*t.scale {
		return
	}
	n := l.channels
	for i := range t.shape.Width * t.scale {
		x := t.x + i
		if x < 0 || x >= l.width || !t.shape.At(i/t.scale, (y-t.y)/t.scale) {
			continue
		}
		if l.mirrored {
			x = l.width - 1 - x
		}
		copy(dst[x*n:x*n+n], t.codes)
	}
}
