package raster

import (
	"bufio"
	"errors"
	"io"
	"math/bits"

	"github.com/klauspost/compress/zlib"
	"golang.org/x/image/tiff/lzw"
)

// blockRows gives the packed rows of one strip or tile after another.
type blockRows interface {
	// open stands before the first row of a block.
	open(block int) error
	// next fills p with a row.
	next(p []byte) error
	// skip passes over n rows; scratch has the length of one.
	skip(n int, scratch []byte) error
}

// blockBytes is what a streamed block takes: inflate window and tables (from
// the library's types), or an LZW table. Blocks that are not larger are held.
const blockBytes = 88 << 10

// holds reports whether blocks are unpacked whole: JPEG cannot give rows, and
// small tiles take less memory so than a decompressor each.
func (f *tiffForm) holds() bool {
	if f.compression == compressionJPEG {
		return true
	}
	return f.compression != compressionNone && f.across()*f.planes() > 1 && f.rowBytes()*f.blockHeight <= blockBytes
}

// newBlocks returns readers for all blocks across and all planes.
func (s *tiffShared) newBlocks() []blockRows {
	out := make([]blockRows, s.across()*s.planes())
	stream := s.newStream()
	for i := range out {
		switch {
		case s.compression == compressionJPEG:
			out[i] = &jpegRows{tiffShared: s}
		case s.holds():
			out[i] = &heldRows{stream: stream}
		default:
			out[i] = s.newStream()
		}
	}
	return out
}

// blocksBytes is what newBlocks takes, once all blocks are open.
func (s *tiffShared) blocksBytes() int64 {
	n, each := int64(s.across()*s.planes()), int64(s.rowBytes())*int64(s.blockHeight)
	switch {
	case s.held != nil:
		return 0
	case s.compression == compressionJPEG:
		return n*each + s.jpegBytes()
	case s.holds():
		return n*each + blockBytes + int64(s.bufferBytes())
	case s.compression == compressionNone:
		return n * int64(s.bufferBytes())
	}
	return n * (blockBytes + int64(s.bufferBytes()))
}

// bufferBytes is how much of a block is read at a time: less where many are open.
func (f *tiffForm) bufferBytes() int {
	return max(4<<10, (256<<10)/(f.across()*f.planes()))
}

func (s *tiffShared) newStream() *streamedRows { return &streamedRows{tiffShared: s} }

// streamedRows unpacks a block row by row.
type streamedRows struct {
	*tiffShared
	block    int
	rows     int // of the block
	row      int
	buffer   *bufio.Reader
	unpacked io.Reader
	inflate  io.ReadCloser // kept between blocks
	last     [1]byte
}

func (b *streamedRows) open(block int) error {
	b.block, b.rows, b.row = block, b.blockRows(block), 0
	return b.fault(b.openAt(0))
}

// openAt starts at a byte of the block.
func (b *streamedRows) openAt(skip int64) (err error) {
	var in io.Reader = io.NewSectionReader(b.r, int64(b.offsets[b.block])+skip, int64(b.counts[b.block])-skip)
	if b.reversed {
		in = reversedBits{in}
	}
	if b.buffer == nil {
		b.buffer = bufio.NewReaderSize(in, b.bufferBytes())
	} else {
		b.buffer.Reset(in)
	}
	switch b.compression {
	case compressionNone:
		b.unpacked = b.buffer
	case compressionLZW:
		b.unpacked = lzw.NewReader(b.buffer, lzw.MSB, 8)
	case compressionPackBits:
		b.unpacked = &packBits{r: b.buffer}
	default:
		err = b.openInflate()
		b.unpacked = b.inflate
	}
	return err
}

func (b *streamedRows) openInflate() (err error) {
	if b.inflate == nil {
		b.inflate, err = zlib.NewReader(b.buffer)
		return err
	}
	return b.inflate.(zlib.Resetter).Reset(b.buffer, nil)
}

// next fills p with the next row; after the last one the checksum of a deflated
// block is held against its data.
func (b *streamedRows) next(p []byte) error {
	if _, err := io.ReadFull(b.unpacked, p); err != nil {
		return b.fault(err)
	}
	if b.row++; b.row == b.rows && b.inflates() {
		if _, err := b.unpacked.Read(b.last[:]); errors.Is(err, zlib.ErrChecksum) {
			return b.fault(err)
		}
	}
	return nil
}

func (b *streamedRows) skip(n int, scratch []byte) error {
	if b.compression == compressionNone {
		at := int64(b.row+n) * int64(b.rowBytes())
		if at > int64(b.counts[b.block]) {
			return b.cutShort(b.block, int(b.counts[b.block])/b.rowBytes())
		}
		b.row += n
		return b.fault(b.openAt(at))
	}
	for range n {
		if err := b.next(scratch); err != nil {
			return err
		}
	}
	return nil
}

// fault says what is wrong with the block. Errors of the disk pass as they are.
func (b *streamedRows) fault(err error) error {
	switch {
	case err == nil:
		return nil
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		return b.cutShort(b.block, b.row)
	case isDiskError(err):
		return err
	case errors.Is(err, zlib.ErrChecksum): // of the whole block, found at its end
		return broken("TIFF", b.blockName(b.block), "the checksum of its data is wrong: some of its %d rows are damaged", b.rows)
	}
	return broken("TIFF", b.blockName(b.block), "the compressed data are damaged in row %d of %d (%v)", b.row+1, b.rows, err)
}

// reversedBits turns the bits of each byte (FillOrder 2; TIFF 6.0, page 32).
type reversedBits struct{ r io.Reader }

func (r reversedBits) Read(p []byte) (int, error) {
	n, err := r.r.Read(p)
	for i, v := range p[:n] {
		p[i] = bits.Reverse8(v)
	}
	return n, err
}

// heldRows unpacks a block whole, by a decompressor that others use too.
type heldRows struct {
	stream *streamedRows
	data   []byte
	block  int
	row    int
	rows   int   // that are right
	failed error // what is wrong with the next
}

// open unpacks as many rows as the block has. An error waits for its row.
func (b *heldRows) open(block int) error {
	if b.row = 0; b.data != nil && b.block == block {
		return nil
	}
	n := b.stream.rowBytes()
	if b.data == nil {
		b.data = make([]byte, n*b.stream.blockHeight)
	}
	b.block, b.rows, b.failed = block, 0, b.stream.open(block)
	for b.rows < b.stream.blockRows(block) && b.failed == nil {
		if b.failed = b.stream.next(b.data[b.rows*n : (b.rows+1)*n]); b.failed == nil {
			b.rows++
		}
	}
	return nil
}

func (b *heldRows) next(p []byte) error {
	if b.row >= b.rows {
		if b.failed != nil {
			return b.failed
		}
		return b.stream.cutShort(b.block, b.rows)
	}
	copy(p, b.data[b.row*len(p):])
	b.row++
	return nil
}

func (b *heldRows) skip(n int, _ []byte) error {
	b.row += n
	return nil
}
