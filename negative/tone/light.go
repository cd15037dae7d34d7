package tone

import "context"

// bandRows is how many rows are worked on at a time: enough to keep several
// cores busy, little enough to stay in cache.
const bandRows = 64

// feed gives a picture's rows as it is stored, top to bottom, once.
type feed interface {
	// next reads up to want rows and returns how many there were; the rows stay
	// valid until the next call. It returns 0 rows only with an error.
	next(ctx context.Context, want int) (int, error)
	// luminance writes row i of what next read as linear light, 0 to 1. It may
	// be called from several goroutines at once.
	luminance(dst []float32, i int)
}

// light resamples and turns a picture's luminance. Its rows come in the order
// of the film. A turn that needs the last row first (upside down, or on its
// side) holds the whole result: 4 bytes a pixel.
type light struct {
	width, height int // as turned
	across, down  *axis
	turn          turn
	jobs          int
	src           feed

	row   int         // next row of the result as stored
	have  int         // source rows read so far
	base  int         // source row of ring[0]
	ring  [][]float32 // source rows base..have, resampled across
	spare [][]float32
	raw   [][]float32 // rows as read, before resampling across
	plane [][]float32 // the whole result, when it must be held
	done  int         // rows given out
}

// newLight plans the resampling of a stored grid of width x height pixels.
// upright turns it upright, final puts it on film.
func newLight(src feed, width, height int, l *layout, upright, final turn, jobs int) *light {
	shown := l.shown()
	h := stretchOf{l.window[0], l.window[2], l.picture.width(), shown.x0 + l.part.x0 - l.picture.x0, shown.width()}
	v := stretchOf{l.window[1], l.window[3], l.picture.height(), shown.y0 + l.part.y0 - l.picture.y0, shown.height()}
	if upright.transpose {
		h, v = v, h
	}
	// After a transpose, reversing the upright columns reverses the stored rows.
	flipH, flipV := upright.flipX, upright.flipY
	if upright.transpose {
		flipH, flipV = flipV, flipH
	}
	if flipH {
		h = h.reversed(width)
	}
	if flipV {
		v = v.reversed(height)
	}
	out := &light{across: newAxis(width, h), down: newAxis(height, v), turn: final, jobs: jobs, src: src}
	out.width, out.height = final.size(h.count, v.count)
	return out
}

// holds reports whether the whole result must be in memory.
func (l *light) holds() bool { return l.turn.transpose || l.turn.flipY }

// read fills dst with the next rows of the film, each l.width long.
func (l *light) read(ctx context.Context, dst [][]float32) error {
	if !l.holds() {
		if err := l.resample(ctx, dst); err != nil {
			return err
		}
		if l.turn.flipX {
			each(l.jobs, len(dst), func(i int) { reverseLight(dst[i]) })
		}
		return nil
	}
	if err := l.fillPlane(ctx); err != nil {
		return err
	}
	first := l.done
	each(l.jobs, len(dst), func(i int) { l.turned(dst[i], first+i) })
	l.done += len(dst)
	return nil
}

func (l *light) fillPlane(ctx context.Context) error {
	if l.plane != nil {
		return nil
	}
	width, height := len(l.across.taps), len(l.down.taps)
	plane := make([][]float32, height)
	for y := range plane {
		plane[y] = make([]float32, width)
	}
	for y := 0; y < height; y += bandRows {
		if err := l.resample(ctx, plane[y:min(y+bandRows, height)]); err != nil {
			return err
		}
	}
	l.plane = plane
	return nil
}

// turned writes row y of the turned result from the plane.
func (l *light) turned(dst []float32, y int) {
	width, height := len(l.across.taps), len(l.down.taps)
	if !l.turn.transpose {
		_, from := l.turn.stored(0, y, width, height)
		copy(dst, l.plane[from])
		if l.turn.flipX {
			reverseLight(dst)
		}
		return
	}
	for x := range dst {
		sx, sy := l.turn.stored(x, y, width, height)
		dst[x] = l.plane[sy][sx]
	}
}

func reverseLight(row []float32) {
	for a, z := 0, len(row)-1; a < z; a, z = a+1, z-1 {
		row[a], row[z] = row[z], row[a]
	}
}

// resample makes the next len(dst) rows of the result as stored.
func (l *light) resample(ctx context.Context, dst [][]float32) error {
	if len(dst) == 0 {
		return nil
	}
	first, end := l.down.span(l.row, l.row+len(dst))
	if err := l.advance(ctx, first, end); err != nil {
		return err
	}
	row := l.row
	each(l.jobs, len(dst), func(i int) { l.down.down(dst[i], row+i, l.ring, l.base) })
	l.row += len(dst)
	return nil
}

// advance makes the ring hold source rows first..end.
func (l *light) advance(ctx context.Context, first, end int) error {
	for l.base < first && len(l.ring) > 0 {
		l.spare = append(l.spare, l.ring[0])
		l.ring, l.base = l.ring[1:], l.base+1
	}
	for l.have < end {
		n, err := l.src.next(ctx, min(bandRows, end-l.have))
		if err != nil {
			return err
		}
		skip := min(max(first-l.have, 0), n) // above the part that is used
		l.have += skip
		if len(l.ring) == 0 {
			l.base = l.have
		}
		l.take(skip, n)
	}
	return nil
}

// take resamples rows from..to of what was read across, into the ring.
func (l *light) take(from, to int) {
	start := len(l.ring)
	for range to - from {
		l.ring = append(l.ring, l.buffer())
	}
	l.reserve(to - from)
	each(l.jobs, to-from, func(i int) {
		l.src.luminance(l.raw[i], from+i)
		l.across.across(l.ring[start+i], l.raw[i])
	})
	l.have += to - from
}

func (l *light) buffer() []float32 {
	if n := len(l.spare); n > 0 {
		row := l.spare[n-1]
		l.spare = l.spare[:n-1]
		return row
	}
	return make([]float32, len(l.across.taps))
}

func (l *light) reserve(n int) {
	for len(l.raw) < n {
		l.raw = append(l.raw, make([]float32, l.across.sources))
	}
}

// heldBytes is the memory that the rows in flight take, and the plane if any.
func (l *light) heldBytes() int64 {
	ring := 0
	for i := range l.down.taps {
		ring = max(ring, len(l.down.taps[i].weights))
	}
	step := max(ring/(2*lanczosLobes), 1)
	rows := int64(ring+bandRows*step)*int64(len(l.across.taps)) + int64(bandRows)*int64(l.across.sources)
	if l.holds() {
		rows += int64(l.width) * int64(l.height)
	}
	return 4 * rows
}
