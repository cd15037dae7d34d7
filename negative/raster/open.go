package raster

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"actinic/process/fault"
)

// Open returns the picture in a file. Its format is told by its content, not
// by its name. The caller closes the source.
//
// It fails with *fault.Error, whose cause is a *FormatError or an
// *UnsupportedError unless the file cannot be opened at all.
func Open(path string) (Source, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fault.Wrap(err, path, "", "does not exist", "check the name and the folder")
	case err != nil:
		return nil, fault.Wrap(err, path, "", "", "see that you may read the file")
	case info.IsDir():
		return nil, fault.New(path, "", "is a folder, expected a picture", "give the name of a file")
	case !info.Mode().IsRegular():
		return nil, fault.New(path, "", "is not an ordinary file, expected a picture", "give the name of a file on a disk")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fault.Wrap(err, path, "", "cannot be opened", "see that you may read the file")
	}
	s, err := open(f, info.Size(), path, f)
	if err != nil {
		f.Close()
		return nil, err
	}
	return s, nil
}

// NewSource returns the picture in size bytes of r, which must stay readable
// until the source is closed. Errors call it name. They are those of Open.
func NewSource(r io.ReaderAt, size int64, name string) (Source, error) {
	return open(r, size, name, nil)
}

func open(r io.ReaderAt, size int64, name string, file io.Closer) (Source, error) {
	d, err := newDecoder(r, size)
	if err != nil {
		return nil, inFile(err, name)
	}
	p := &picture{decoder: d, name: name, file: file}
	if p.head = d.header(); p.head.Access == Sequential {
		return p, nil
	}
	return seekable{p}, nil
}

// decoder is what a format has to do; picture does the rest of Source.
type decoder interface {
	header() Header
	// readRow decodes the next row. It is not called below the last.
	readRow(dst []uint16) error
	// seekRow makes y the next row; sequential decoders are asked for 0 only.
	seekRow(y int) error
}

// picture turns a decoder into a Source: it counts rows, names the file in
// errors and looks for cancellation.
type picture struct {
	decoder decoder
	head    Header
	name    string
	file    io.Closer
	row     int
	failed  error // a decoder is not asked again after it failed
}

func (p *picture) Header() Header { return p.head }

func (p *picture) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	for i, row := range dst {
		if err := p.readRow(ctx, row); err != nil {
			if i > 0 && (err == io.EOF || err == p.failed) {
				return i, nil // rows first; the error comes again
			}
			return 0, err
		}
	}
	return len(dst), nil
}

func (p *picture) readRow(ctx context.Context, dst []uint16) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if p.failed != nil {
		return p.failed
	}
	if p.row == p.head.Height {
		return io.EOF
	}
	if err := p.decoder.readRow(dst[:p.head.RowSamples()]); err != nil {
		p.failed = inFile(noEOF(err), p.name)
		return p.failed
	}
	p.row++
	return nil
}

// noEOF keeps an end of file inside a picture from looking like its end.
func noEOF(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

var errClosed = errors.New("raster: the source is closed")

func (p *picture) Restart() error { return p.seek(0) }

func (p *picture) seek(y int) error {
	if p.decoder == nil {
		return errClosed
	}
	if err := p.decoder.seekRow(y); err != nil {
		p.failed = inFile(noEOF(err), p.name)
		return p.failed
	}
	p.row, p.failed = y, nil
	return nil
}

func (p *picture) Close() error {
	p.failed = errClosed
	p.decoder = nil
	if p.file == nil {
		return nil
	}
	f := p.file
	p.file = nil
	return f.Close()
}

// seekable is a picture whose decoder can start at any row.
type seekable struct{ *picture }

func (p seekable) SeekRow(y int) error {
	if y < 0 || y > p.head.Height {
		panic("raster: SeekRow outside the picture")
	}
	return p.seek(y)
}
