package scan

import (
	"context"
	"io"
	"runtime"
	"sync"

	"actinic/negative/raster"
)

// run reads all rows. Files whose rows can be reached in any order are read in
// as many sections as there are cores, each through a source of its own; what
// comes out does not depend on their number.
func (l *loader) run(ctx context.Context, first raster.Source) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	cuts := l.sections()
	errs := make([]error, len(cuts)-1)
	var wait sync.WaitGroup
	for i := range errs {
		wait.Go(func() {
			src := first
			if i > 0 {
				if src, errs[i] = l.open(); errs[i] != nil {
					cancel()
					return
				}
			}
			defer src.Close()
			if errs[i] = l.section(ctx, src, cuts[i], cuts[i+1]); errs[i] != nil {
				cancel()
			}
		})
	}
	wait.Wait()
	return firstError(errs)
}

// firstError returns the error of the first section that failed by itself, not
// because another did.
func firstError(errs []error) error {
	var cancelled error
	for _, err := range errs {
		switch {
		case err == context.Canceled:
			cancelled = err
		case err != nil:
			return err
		}
	}
	return cancelled
}

// sections returns the rows at which sections begin, and the end of the last.
// All but the end are multiples of both reductions.
func (l *loader) sections() []int {
	n := l.jobs
	if n <= 0 {
		n = runtime.GOMAXPROCS(0)
	}
	h := l.header
	if h.Access != raster.AnyRow || h.BandRows > h.Height/(2*n) {
		n = 1
	}
	cuts := []int{0}
	for i := 1; i < n; i++ {
		if y := i * h.Height / n / l.thumb.reduced * l.thumb.reduced; y > cuts[len(cuts)-1] {
			cuts = append(cuts, y)
		}
	}
	return append(cuts, h.Height)
}

// rowBand is some rows of the scan on their way.
type rowBand struct {
	y    int
	rows [][]uint16
	n    int // rows filled
}

// bandRows is about how many rows are read at a time.
const bandRows = 32

// section reads the rows from y to end, decoding them and turning them into
// light side by side.
func (l *loader) section(ctx context.Context, src raster.Source, y, end int) error {
	if s, ok := src.(raster.RowSeeker); ok && y > 0 {
		if err := s.SeekRow(y); err != nil {
			return err
		}
	}
	size := max(1, bandRows/l.plane.Reduced) * l.plane.Reduced
	free, full := make(chan *rowBand, 2), make(chan *rowBand, 2)
	for range 2 {
		free <- &rowBand{rows: raster.NewBand(l.header, size)}
	}
	var err error
	go func() {
		defer close(full)
		err = readBands(ctx, src, y, end, free, full)
	}()
	w := newRowWorker(l)
	for b := range full {
		w.take(b)
		free <- b
	}
	return err
}

// readBands fills bands in order. It returns when all rows are read or one can't
// be.
func readBands(ctx context.Context, src raster.Source, y, end int, free, full chan *rowBand) error {
	for y < end {
		b := <-free
		b.y, b.n = y, 0
		want := min(len(b.rows), end-y)
		for b.n < want {
			n, err := src.ReadRows(ctx, b.rows[b.n:want])
			if err == io.EOF {
				err = io.ErrUnexpectedEOF
			}
			if err != nil {
				return err
			}
			b.n += n
		}
		y += b.n
		full <- b
	}
	return nil
}

// rowWorker turns bands into the rows of plane, clipping and thumbnail that
// they hold.
type rowWorker struct {
	*loader
	values []float32 // light of one row of the scan
	sums   []float32 // of the scan's pixels in each pixel of the plane
}

func newRowWorker(l *loader) *rowWorker {
	return &rowWorker{loader: l, values: make([]float32, l.header.Width), sums: make([]float32, l.plane.Width)}
}

func (w *rowWorker) take(b *rowBand) {
	t := w.thumb.reduced
	for i := range b.n {
		if y := b.y + i; y%t == t/2 {
			w.thumb.take(y/t, b.rows[i])
		}
	}
	k := w.plane.Reduced
	for i := 0; i+k <= b.n; i += k {
		if y := (b.y + i) / k; y < w.plane.Height {
			w.planeRow(y, b.rows[i:i+k])
		}
	}
}

// planeRow makes row y of the plane of the rows of the scan that it covers.
func (w *rowWorker) planeRow(y int, rows [][]uint16) {
	p := w.plane
	for _, row := range rows {
		w.clip.take(y, row[:w.header.RowSamples()], w.header.Channels, p.Reduced)
	}
	out := p.Root[y*p.Width : (y+1)*p.Width]
	if p.Reduced == 1 {
		w.light.row(w.values, rows[0])
		for i, v := range w.values {
			out[i] = toRoot(v)
		}
		return
	}
	w.average(out, rows)
}

// average means the light of blocks of pixels.
func (w *rowWorker) average(out []uint16, rows [][]uint16) {
	k := w.plane.Reduced
	clear(w.sums)
	for _, row := range rows {
		w.light.row(w.values, row)
		for i := range w.sums {
			for _, v := range w.values[i*k : (i+1)*k] {
				w.sums[i] += v
			}
		}
	}
	for i, s := range w.sums {
		out[i] = toRoot(s / float32(k*k))
	}
}
