package raster

import (
	"context"
	"hash/crc32"
	"io"
	"unicode/utf8"

	"github.com/klauspost/compress/zlib"
)

// Lengths of the PNG format (ISO/IEC 15948:2004).
const (
	idatBytes = 64 << 10 // of a data chunk that is written
	pngLevel  = 7        // below it 16-bit differences would be stored as they are
)

// pngSink writes a PNG file of one picture, row by row.
type pngSink struct {
	chunks chunkWriter
	head   Header
	z      *zlib.Writer
	rows   rowFilter
	row    int
	done   bool
}

// PNGOptions says how a PNG file is written. The zero value leaves the samples
// untagged, as film goes to the printer.
type PNGOptions struct {
	SRGB bool // say that the samples are sRGB: proofs and previews
}

// NewPNG returns a sink that writes a PNG file to w: grey or RGB of 8 or 16 bits,
// upright, with the Width, Height, Channels, Bits, PPIX and PPIY (rounded to
// pixels a metre, none when 0) and Description of h. Equal rows give equal bytes.
//
// It fails where NewTIFF does.
func NewPNG(w io.Writer, h Header, o *PNGOptions) (Sink, error) {
	if o == nil {
		o = &PNGOptions{}
	}
	if err := checkSink("PNG", h); err != nil {
		return nil, err
	}
	s := &pngSink{chunks: chunkWriter{w: w}, head: h, rows: newRowFilter(h)}
	z, err := zlib.NewWriterLevel(idat{&s.chunks}, pngLevel)
	if err != nil {
		return nil, err
	}
	s.z = z
	s.begin(o.SRGB)
	return s, s.chunks.err
}

// begin writes what stands before the pixels.
func (s *pngSink) begin(srgb bool) {
	h := s.head
	s.chunks.raw([]byte(pngSignature))
	size := big.AppendUint32(big.AppendUint32(nil, uint32(h.Width)), uint32(h.Height))
	colour := map[int]byte{1: 0, 3: 2}[h.Channels] // 11.2.2: 0 greyscale, 2 truecolour
	s.chunks.write("IHDR", append(size, byte(h.Bits), colour, 0, 0, 0))
	if srgb {
		s.chunks.write("sRGB", []byte{1}) // 11.3.3.5: relative colorimetric
	}
	if h.PPIX > 0 && h.PPIY > 0 {
		s.chunks.write("pHYs", append(big.AppendUint32(big.AppendUint32(nil, perMetre(h.PPIX)), perMetre(h.PPIY)), 1))
	}
	if h.Description != "" {
		s.chunks.write(descriptionChunk(h.Description))
	}
}

// descriptionChunk returns the text as tEXt, which every reader knows, or as
// iTXt where Latin-1 does not hold it (11.3.4).
func descriptionChunk(text string) (kind string, data []byte) {
	const keyword = "Description\x00"
	latin := []byte(keyword)
	for _, r := range text {
		if r == 0 || r > 0xff || r == utf8.RuneError {
			return "iTXt", []byte(keyword + "\x00\x00\x00\x00" + text)
		}
		latin = append(latin, byte(r))
	}
	return "tEXt", latin
}

func (s *pngSink) WriteRows(ctx context.Context, rows [][]uint16) error {
	for _, row := range rows {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := checkRow(s.head, s.row, len(row), s.done); err != nil {
			return err
		}
		s.row++
		if _, err := s.z.Write(s.rows.next(row[:s.head.RowSamples()])); err != nil {
			return err
		}
	}
	return nil
}

// Commit writes the end of the data and of the file.
func (s *pngSink) Commit() error {
	if s.done {
		return errDone
	}
	s.done = true
	if s.row != s.head.Height {
		return missing(s.head, s.row)
	}
	if err := s.z.Close(); err != nil {
		return err
	}
	s.chunks.flush()
	s.chunks.write("IEND", nil)
	return s.chunks.err
}

func (s *pngSink) Abort() { s.done = true }

// chunkWriter writes chunks (5.3) and keeps the first error.
type chunkWriter struct {
	w    io.Writer
	data []byte // of the IDAT chunk under way
	err  error
}

func (c *chunkWriter) raw(p []byte) {
	if c.err == nil {
		_, c.err = c.w.Write(p)
	}
}

func (c *chunkWriter) write(kind string, data []byte) {
	out := big.AppendUint32(nil, uint32(len(data)))
	out = append(append(out, kind...), data...)
	c.raw(big.AppendUint32(out, crc32.ChecksumIEEE(out[4:])))
}

func (c *chunkWriter) flush() {
	if len(c.data) > 0 {
		c.write("IDAT", c.data)
		c.data = c.data[:0]
	}
}

// idat gathers the compressed data into chunks of idatBytes.
type idat struct{ c *chunkWriter }

func (w idat) Write(p []byte) (int, error) {
	for rest := p; len(rest) > 0; {
		n := min(len(rest), idatBytes-len(w.c.data))
		w.c.data = append(w.c.data, rest[:n]...)
		rest = rest[n:]
		if len(w.c.data) == idatBytes {
			w.c.flush()
		}
	}
	return len(p), w.c.err
}
