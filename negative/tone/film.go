package tone

import (
	"context"
	"io"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// Luminance turns a row of a picture's encoded samples into linear light.
type Luminance interface {
	// Row writes CIE Y/Yn, 0 to 1, of each pixel of src, which may be any part of a
	// row. It has no side effect and may be called from several goroutines at once.
	Row(dst []float32, src []uint16)
}

// Film is a negative (or positive) on its way to the printer: a raster.Source
// whose rows are made as they are read. It is not safe for concurrent use.
type Film struct {
	src     raster.Source
	lum     Luminance
	in      *rowReader
	stages  *stages
	jobs    int
	header  raster.Header
	notices []string
	rows    *filmReader // of ReadRows; nil before the first
}

var _ raster.Source = (*Film)(nil)

// Negative plans the film for a picture. Nothing is read yet but its header.
// lum must be made for the picture's own profile; curve may be an InkTable,
// baked before. jobs is the number of cores to use, 0 for all; the film does
// not depend on it. The film reads from src but does not close it.
//
// It fails with *fault.Error when an option or the curve cannot be used.
func Negative(src raster.Source, lum Luminance, curve Curve, o Options, jobs int) (*Film, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	h := src.Header()
	if !readable(h) {
		return nil, fault.New("", "header", "the picture has no pixels, or neither one nor three channels", "open it in an editor and save it again")
	}
	table, err := Bake(curve)
	if err != nil {
		return nil, err
	}
	s, err := newStages(h, table, &o)
	if err != nil {
		return nil, err
	}
	f := &Film{src: src, lum: lum, in: newRowReader(src), stages: s, jobs: jobs}
	f.header, f.notices = s.header(), s.notices(h)
	f.header.HeldBytes = f.heldBytes(jobs)
	return f, nil
}

func readable(h raster.Header) bool {
	switch {
	case h.Width < 1 || h.Height < 1:
		return false
	case h.Space == raster.Inks:
		return h.Channels == 4
	}
	return h.Channels == 1 || h.Channels == 3
}

// Header returns the size, depth, channels and resolution of the film; give it to
// a sink. HeldBytes is all the memory that making it takes: what the picture's
// source holds, its readers, the rows in hand, and the part that must be held
// where the picture is turned; not the sink's own, nor lum and curve.
func (f *Film) Header() raster.Header { return f.header }

// Notices returns what the user should be told, in whole sentences. After the
// rows were made it has also what the picture's source saw in them.
func (f *Film) Notices() []string {
	if w, ok := f.src.(raster.Witness); ok {
		return append(append([]string(nil), f.notices...), w.Seen()...)
	}
	return f.notices
}

// Run makes the whole film, from its first row, for a sink made with its Header.
// It commits nothing. Of several errors it returns the first in the order of
// rows; when it returns, nothing is at work any more.
func (f *Film) Run(ctx context.Context, sink raster.Sink) error {
	if err := f.Close(); err != nil {
		return err
	}
	r, err := f.newRun(f.jobs, sink)
	if err != nil {
		return err
	}
	defer r.close()
	return r.all(ctx)
}

// ReadRows fills dst, rows of Width*Channels samples, with the next rows of the
// film and returns how many: fewer than asked only at the end, then io.EOF. A
// film of 8 bits gives multiples of 257.
func (f *Film) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if f.rows == nil {
		r, err := f.newRun(1, nil)
		if err != nil {
			return 0, err
		}
		f.rows = &filmReader{run: r}
	}
	for n, row := range dst {
		next, err := f.rows.next(ctx)
		if err == io.EOF && n > 0 {
			return n, nil
		}
		if err != nil {
			return 0, err
		}
		copy(row, next)
	}
	return len(dst), nil
}

// Restart makes the next ReadRows begin at the first row again; the picture
// restarts too.
func (f *Film) Restart() error {
	if err := f.Close(); err != nil {
		return err
	}
	return f.in.restart()
}

// Close frees the rows held. The picture stays open.
func (f *Film) Close() error {
	if f.rows != nil {
		f.rows.run.close()
		f.rows = nil
	}
	return nil
}

// filmReader gives the rows of a run one by one.
type filmReader struct {
	run  *run
	band int        // the next one
	rows [][]uint16 // left of the one before
	err  error      // where the run ended
}

func (f *filmReader) next(ctx context.Context) ([]uint16, error) {
	if len(f.rows) == 0 && f.err == nil {
		f.rows, f.err = f.run.next(ctx, f.band)
		f.band++
	}
	if len(f.rows) == 0 {
		return nil, f.err
	}
	row := f.rows[0]
	f.rows = f.rows[1:]
	return row, nil
}

// next makes band k, in the caller's goroutine: io.EOF below the last.
func (r *run) next(ctx context.Context, k int) ([][]uint16, error) {
	if k >= r.bands() {
		return nil, io.EOF
	}
	if r.perPass > 0 && k%r.perPass == 0 {
		if err := r.prepare(ctx, k); err != nil {
			return nil, err
		}
	}
	if err := r.begin(ctx, 0, k); err != nil {
		return nil, err
	}
	if err := r.work(ctx, 0, k); err != nil {
		return nil, err
	}
	return r.rows[0][:r.film(k).count()], nil
}
