package raster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
)

// Compression says how a TIFF sink packs its strips.
type Compression int

const (
	// Deflate packs each strip as a zlib stream (compression 8 of Adobe's TIFF
	// Technical Note 2, 2002) of horizontal differences (TIFF 6.0, section 14),
	// without loss.
	Deflate Compression = iota
	// NoCompression is for programs that read nothing else.
	NoCompression
)

// TIFFOptions says how a TIFF file is written. The zero value packs with
// deflate on all cores.
type TIFFOptions struct {
	Compression Compression
	// Jobs is the number of cores that pack, 0 for all. The file does not
	// depend on it.
	Jobs int
}

// stripBytes is the aim for a strip before packing: small enough that readers
// need little memory, large enough to pack well.
const stripBytes = 256 << 10

// tiffSink writes a TIFF file of one picture in strips, the directory last.
type tiffSink struct {
	w     io.WriteSeeker
	head  Header
	comp  Compression
	rows  int // of a strip
	strip []byte
	row   int // next row of the picture
	queue *packQueue
	at    int64 // bytes written
	where []uint32
	size  []uint32
	done  bool
}

// NewTIFF returns a sink that writes a TIFF 6.0 file to w from its start: grey
// (black is zero) or RGB of 8 or 16 bits, upright, with the Width, Height,
// Channels, Bits, PPIX, PPIY (none when 0) and Description of h. Equal rows give
// equal bytes.
//
// Sinks write no profile: the numbers of a film go to the printer as they are.
// It fails when h has one, or anything else that the file cannot hold, and then
// nothing is written; with *UnsupportedError when the picture is too large, which
// WriteRows and Commit give too for a file of more than 4 gigabytes.
func NewTIFF(w io.WriteSeeker, h Header, o *TIFFOptions) (Sink, error) {
	if o == nil {
		o = &TIFFOptions{}
	}
	if err := checkSink("TIFF", h); err != nil {
		return nil, err
	}
	jobs := o.Jobs
	if jobs < 1 {
		jobs = runtime.GOMAXPROCS(0)
	}
	s := &tiffSink{w: w, head: h, comp: o.Compression, rows: stripRows(h)}
	s.queue = newPackQueue(packerFor(o.Compression, h), jobs)
	return s, s.write(make([]byte, 8)) // the header comes last: a part of a file is no TIFF
}

// checkSink refuses what no sink writes, before a byte is written.
func checkSink(format string, h Header) error {
	switch {
	case h.Channels != 1 && h.Channels != 3:
		return fmt.Errorf("raster: %d channels, a sink writes 1 or 3", h.Channels)
	case h.Bits != 8 && h.Bits != 16:
		return fmt.Errorf("raster: %d bits, a sink writes 8 or 16", h.Bits)
	case h.Width < 1 || h.Height < 1:
		return fmt.Errorf("raster: a picture of %d x %d pixels", h.Width, h.Height)
	case h.Profile != nil:
		return errors.New("raster: a sink writes no profile")
	case h.Orientation > 1:
		return fmt.Errorf("raster: orientation %d, a sink writes upright rows", h.Orientation)
	case !(h.PPIX >= 0 && h.PPIX <= maxPPI && h.PPIY >= 0 && h.PPIY <= maxPPI):
		return fmt.Errorf("raster: a resolution of %g x %g ppi", h.PPIX, h.PPIY)
	}
	return checkSize(format, uint64(h.Width), uint64(h.Height))
}

// maxPPI keeps resolutions inside the numbers of TIFF and PNG.
const maxPPI = 1e6

// rowBytes is the length of a row as a sink stores it.
func rowBytes(h Header) int { return h.RowSamples() * h.Bits / 8 }

func stripRows(h Header) int {
	return min(h.Height, max(1, stripBytes/rowBytes(h)))
}

// WriteRows packs and writes every strip that the rows complete.
func (s *tiffSink) WriteRows(ctx context.Context, rows [][]uint16) error {
	for _, row := range rows {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := checkRow(s.head, s.row, len(row), s.done); err != nil {
			return err
		}
		s.strip = appendSamples(s.strip, row[:s.head.RowSamples()], s.head.Bits)
		s.row++
		if s.row%s.rows == 0 || s.row == s.head.Height {
			if err := s.endStrip(); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkRow refuses a row that is too short, one below the last, and one after
// Commit or Abort.
func checkRow(h Header, y, samples int, done bool) error {
	switch {
	case done:
		return errDone
	case y == h.Height:
		return fmt.Errorf("raster: more than the %d rows of the file", h.Height)
	case samples < h.RowSamples():
		return fmt.Errorf("raster: row %d has %d samples, the file takes %d", y, samples, h.RowSamples())
	}
	return nil
}

var errDone = errors.New("raster: the sink is finished")

// appendSamples stores samples in the depth of the file, most significant byte
// first; 8-bit ones are rounded.
func appendSamples(dst []byte, row []uint16, bits int) []byte {
	if bits == 8 {
		for _, v := range row {
			dst = append(dst, byte((uint32(v)+128)/257))
		}
		return dst
	}
	for _, v := range row {
		dst = append(dst, byte(v>>8), byte(v))
	}
	return dst
}

func (s *tiffSink) endStrip() error {
	ready := s.queue.add(s.strip)
	s.strip = s.queue.buffer()
	return s.store(ready)
}

// store writes packed strips in order.
func (s *tiffSink) store(strips []packed) error {
	for _, p := range strips {
		if p.err != nil {
			return p.err
		}
		s.where = append(s.where, uint32(s.at))
		s.size = append(s.size, uint32(len(p.data)))
		if err := s.write(p.data); err != nil {
			return err
		}
		if s.at&1 == 1 { // values of a directory begin on a word (TIFF 6.0, page 13)
			if err := s.write([]byte{0}); err != nil {
				return err
			}
		}
	}
	return nil
}

// write appends and keeps inside the offsets of TIFF.
func (s *tiffSink) write(p []byte) error {
	if s.at+int64(len(p)) > math.MaxUint32 {
		return &UnsupportedError{Format: "TIFF", Feature: "more than 4 gigabytes in one file",
			Fix: "lower --ppi or --size, or use --depth 8"}
	}
	n, err := s.w.Write(p)
	s.at += int64(n)
	return err
}

// Commit writes the directory, then the header that makes the file a TIFF.
func (s *tiffSink) Commit() error {
	if s.done {
		return errDone
	}
	strips := s.queue.finish()
	s.done = true
	if s.row != s.head.Height {
		return missing(s.head, s.row)
	}
	if err := s.store(strips); err != nil {
		return err
	}
	raw, at := s.directory(uint32(s.at))
	if err := s.write(raw); err != nil {
		return err
	}
	if _, err := s.w.Seek(0, io.SeekStart); err != nil {
		return err
	}
	head := append([]byte("MM\x00*"), byte(at>>24), byte(at>>16), byte(at>>8), byte(at))
	if _, err := s.w.Write(head); err != nil {
		return err
	}
	_, err := s.w.Seek(0, io.SeekEnd)
	return err
}

func missing(h Header, rows int) error {
	return fmt.Errorf("raster: %d of %d rows written", rows, h.Height)
}

// Abort waits for strips under way and drops them.
func (s *tiffSink) Abort() {
	if !s.done {
		s.done = true
		s.queue.finish()
	}
}
