package tone

import (
	"context"
	"io"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// Luminance turns a row of a picture's encoded samples into linear light.
type Luminance interface {
	// Row writes CIE Y/Yn, 0 to 1, of each pixel of src. It has no side effect
	// and may be called from several goroutines at once.
	Row(dst []float32, src []uint16)
}

// Film is a negative (or positive) on its way to the printer: a raster.Source
// whose rows are made as they are read. It is not safe for concurrent use.
type Film struct {
	src     raster.Source
	plan    func() (*stages, error)
	stages  *stages
	dither  *Diffuser
	header  raster.Header
	notices []string
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
	if h.Width < 1 || h.Height < 1 || (h.Channels != 1 && h.Channels != 3) {
		return nil, fault.New("", "header", "the picture has no pixels, or neither one nor three channels", "open it in an editor and save it again")
	}
	table, err := Bake(curve)
	if err != nil {
		return nil, err
	}
	f := &Film{src: src}
	f.plan = func() (*stages, error) {
		return newStages(h, &samples{src: src, lum: lum, header: h, invert: o.InputNegative}, table, &o, jobs)
	}
	if err := f.begin(); err != nil {
		return nil, err
	}
	f.header = f.stages.header()
	f.notices = f.stages.notices(h)
	return f, nil
}

// begin sets the stages to the first row.
func (f *Film) begin() error {
	s, err := f.plan()
	if err != nil {
		return err
	}
	f.stages, f.dither = s, nil
	if h := s.header(); h.Bits == 8 {
		f.dither = NewDiffuser(h.Width, h.Height, h.Channels)
	}
	return nil
}

// Header returns the size, depth, channels and resolution of the film, and the
// memory its stages hold; give it to a sink.
func (f *Film) Header() raster.Header { return f.header }

// Notices returns what the user should be told, in whole sentences.
func (f *Film) Notices() []string { return f.notices }

// Restart makes the next ReadRows begin at the first row again; the picture
// restarts too.
func (f *Film) Restart() error {
	if err := f.src.Restart(); err != nil {
		return err
	}
	return f.begin()
}

// Close frees the rows held. The picture stays open.
func (f *Film) Close() error {
	f.stages, f.dither = nil, nil
	return nil
}

// ReadRows fills dst, rows of Width*Channels samples, with the next rows of the
// film and returns how many: fewer than asked only at the end, then io.EOF. A
// film of 8 bits gives multiples of 257.
func (f *Film) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	n := min(len(dst), f.header.Height-f.stages.row)
	if n == 0 && len(dst) > 0 {
		return 0, io.EOF
	}
	if err := f.stages.read(ctx, dst[:n]); err != nil {
		return 0, err
	}
	if f.dither != nil {
		f.dither.Rows(dst[:n], f.stages.jobs)
	}
	return n, nil
}

// Run gives the whole film to a sink made with its Header. It commits nothing.
func (f *Film) Run(ctx context.Context, sink raster.Sink) error { return raster.Copy(ctx, sink, f) }
