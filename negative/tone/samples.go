package tone

import (
	"context"
	"io"

	"actinic/negative/raster"
)

// rowReader reads a picture from any row on: by seeking where its source can,
// else from the top again.
type rowReader struct {
	src    raster.Source
	header raster.Header
	seeker raster.RowSeeker // nil for sequential sources
	at     int              // the row that comes next; -1 when that is not known
}

func newRowReader(src raster.Source) *rowReader {
	r := &rowReader{src: src, header: src.Header()}
	if s, ok := src.(raster.RowSeeker); ok && r.header.Access != raster.Sequential {
		r.seeker = s
	}
	return r
}

// read fills dst with the picture's rows from row first on.
func (r *rowReader) read(ctx context.Context, first int, dst [][]uint16) error {
	if len(dst) == 0 {
		return nil
	}
	if err := r.goTo(ctx, first, dst); err != nil {
		return err
	}
	return r.fill(ctx, dst)
}

// goTo makes row first the next one. spare is overwritten.
func (r *rowReader) goTo(ctx context.Context, first int, spare [][]uint16) error {
	if r.at == first {
		return nil
	}
	if r.seeker != nil {
		r.at = -1
		if err := r.seeker.SeekRow(first); err != nil {
			return err
		}
		r.at = first
		return nil
	}
	if r.at > first || r.at < 0 {
		if err := r.restart(); err != nil {
			return err
		}
	}
	for r.at < first {
		if err := r.fill(ctx, spare[:min(len(spare), first-r.at)]); err != nil {
			return err
		}
	}
	return nil
}

func (r *rowReader) restart() error {
	r.at = -1
	if err := r.src.Restart(); err != nil {
		return err
	}
	r.at = 0
	return nil
}

// fill reads the next rows, which the header promised.
func (r *rowReader) fill(ctx context.Context, dst [][]uint16) error {
	at := r.at
	r.at = -1
	for done := 0; done < len(dst); {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := r.src.ReadRows(ctx, dst[done:])
		switch {
		case n > 0: // rows first; the error comes again
		case err == io.EOF:
			return io.ErrUnexpectedEOF
		case err == nil:
			return io.ErrNoProgress
		default:
			return err
		}
		done += n
	}
	r.at = at + len(dst)
	return nil
}
