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
	return asSource(&picture{decoder: d, head: d.header(), name: name, file: file}), nil
}

// asSource shows a picture as what it can do.
func asSource(p *picture) Source {
	if p.head.Access == Sequential {
		return p
	}
	if _, ok := p.decoder.(forkDecoder); ok {
		return forkable{seekable{p}}
	}
	return seekable{p}
}

// decoder is what a format has to do; picture does the rest of Source. A decoder
// may also be a rowsDecoder, a forkDecoder and a seeingDecoder.
type decoder interface {
	header() Header
	// readRow decodes the next row. It is not called below the last.
	readRow(dst []uint16) error
	// seekRow makes y the next row; sequential decoders are asked for 0 only.
	seekRow(y int) error
}

// rowsDecoder reads several rows faster than one by one.
type rowsDecoder interface {
	// readRows fills dst, whose rows are all in the picture and of its length, and
	// returns how many are right. An error tells why the next one is not.
	readRows(dst [][]uint16) (int, error)
}

// forkDecoder is a decoder of a Forker.
type forkDecoder interface {
	// fork returns another decoder of the same picture, at its first row.
	fork() (decoder, error)
}

// seeingDecoder is a decoder of a Witness.
type seeingDecoder interface {
	seen() []string
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

// cancelRows is how many rows are read between two looks for cancellation.
const cancelRows = 64

func (p *picture) ReadRows(ctx context.Context, dst [][]uint16) (int, error) {
	for done := 0; done < len(dst); {
		n, err := p.readSome(ctx, dst[done:min(done+cancelRows, len(dst))])
		if done += n; err == nil {
			continue
		}
		if done > 0 && (err == io.EOF || err == p.failed) {
			return done, nil // rows first; the error comes again
		}
		return 0, err
	}
	return len(dst), nil
}

func (p *picture) readSome(ctx context.Context, dst [][]uint16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if p.failed != nil {
		return 0, p.failed
	}
	if p.row == p.head.Height {
		return 0, io.EOF
	}
	n, err := p.decodeRows(dst[:min(len(dst), p.head.Height-p.row)])
	if p.row += n; err != nil {
		p.failed = inFile(noEOF(err), p.name)
	}
	return n, p.failed
}

func (p *picture) decodeRows(dst [][]uint16) (int, error) {
	if d, ok := p.decoder.(rowsDecoder); ok {
		return d.readRows(dst)
	}
	for i, row := range dst {
		if err := p.decoder.readRow(row[:p.head.RowSamples()]); err != nil {
			return i, err
		}
	}
	return len(dst), nil
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

// Seen is that of Witness.
func (p *picture) Seen() []string {
	if d, ok := p.decoder.(seeingDecoder); ok {
		return d.seen()
	}
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

// forkable is a picture that several decoders can read at once.
type forkable struct{ seekable }

func (p forkable) Fork() (Forker, error) {
	if p.decoder == nil {
		return nil, errClosed
	}
	d, err := p.decoder.(forkDecoder).fork()
	if err != nil {
		return nil, inFile(err, p.name)
	}
	return forkable{seekable{&picture{decoder: d, head: p.head, name: p.name}}}, nil
}
