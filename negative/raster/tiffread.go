package raster

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/klauspost/compress/zlib"
	"golang.org/x/image/tiff/lzw"
)

// tiffDecoder reads the first picture of a TIFF file row by row: for each block
// across the picture (and each plane) one decompressor is open, which gives its
// part of the row. No block is ever held whole.
type tiffDecoder struct {
	*tiffForm
	head   Header
	r      io.ReaderAt
	order  binary.ByteOrder
	blocks []*tiffBlock // across, then planes
	raw    []byte       // one block's row
	pixels []uint16     // one row with all samples, when it differs from the output
	row    int
	opened bool     // blocks stand at row
	one    []uint16 // the same, as samples
}

// newTIFFDecoder reads the directories and checks everything that can be checked
// without decoding.
func newTIFFDecoder(r io.ReaderAt, size int64) (decoder, error) {
	order, first, err := tiffHeader("TIFF", r, size)
	if err != nil {
		return nil, err
	}
	pages, err := tiffPages(r, size, order, first)
	if err != nil {
		return nil, err
	}
	d := pages[0]
	form, err := newTIFFForm(d)
	if err != nil {
		return nil, err
	}
	t := &tiffDecoder{tiffForm: form, r: r, order: order}
	t.raw = make([]byte, form.blockWidth*form.blockSamples()*form.bits/8)
	t.one = make([]uint16, form.blockWidth*form.blockSamples())
	if form.samples != form.channels || form.planar || form.blockWidth != form.width {
		t.pixels = make([]uint16, form.width*form.samples)
	}
	t.blocks = make([]*tiffBlock, form.across()*form.planes())
	t.head, err = t.makeHeader(d, len(pages))
	return t, err
}

// tiffPages follows the chain of directories. Small previews (bit 0 of tag 254)
// do not count as pages if there is anything else.
func tiffPages(r io.ReaderAt, size int64, order binary.ByteOrder, offset uint32) ([]*ifd, error) {
	var pages, previews []*ifd
	seen := map[uint32]bool{}
	for offset != 0 && len(seen) < 1024 {
		if seen[offset] {
			return nil, broken("TIFF", fmt.Sprintf("directory at byte %d", offset), "the chain of directories runs in a circle")
		}
		seen[offset] = true
		d, err := readIFD("TIFF", r, size, order, offset)
		if err != nil {
			return nil, err
		}
		if kind, err := d.uint(tagNewSubfileType, 0); err == nil && kind&1 != 0 {
			previews = append(previews, d)
		} else {
			pages = append(pages, d)
		}
		offset = d.next
	}
	if len(pages) == 0 {
		pages = previews
	}
	if len(pages) == 0 {
		return nil, broken("TIFF", "header", "names no directory: the file has no picture")
	}
	return pages, nil
}

func (t *tiffDecoder) makeHeader(d *ifd, pages int) (Header, error) {
	profile, err := d.bytes(tagICC, maxProfile)
	if err != nil {
		return Header{}, err
	}
	h := Header{Width: t.width, Height: t.height, Channels: t.channels, Bits: t.bits,
		Orientation: d.orientation(), Profile: profile, Format: "TIFF", Description: d.text(tagDescription),
		Access: AnyRow, BandRows: t.blockHeight}
	h.PPIX, h.PPIY = d.ppi()
	if pages > 1 {
		h.Notices = append(h.Notices, fmt.Sprintf("the file has %d pages; the first is used", pages))
	}
	if n := t.unread(); n > 0 {
		h.Notices = append(h.Notices, fmt.Sprintf("the file has %d channels beside the colours; they are left out", n))
	}
	h.HeldBytes = int64(len(t.blocks))*blockBytes + int64(len(t.raw)) + 2*int64(len(t.one)+len(t.pixels)) +
		4*int64(len(t.offsets)+len(t.counts))
	return h, nil
}

func (t *tiffDecoder) header() Header { return t.head }

func (t *tiffDecoder) seekRow(y int) error {
	t.row, t.opened = y, false
	return nil
}

func (t *tiffDecoder) readRow(dst []uint16) error {
	if t.row%t.blockHeight == 0 || !t.opened {
		if err := t.openBlocks(); err != nil {
			return err
		}
	}
	if t.pixels == nil {
		if err := t.readBlockRow(0, dst); err != nil {
			return err
		}
	} else if err := t.gather(dst); err != nil {
		return err
	}
	t.row++
	return nil
}

// gather puts a row together from blocks and planes and composites it.
func (t *tiffDecoder) gather(dst []uint16) error {
	for i := range t.blocks {
		plane, x := i/t.across(), i%t.across()*t.blockWidth
		if t.planar && plane >= t.channels && (t.alpha == noAlpha || plane != t.alphaAt) {
			continue
		}
		if err := t.readBlockRow(i, t.one); err != nil {
			return err
		}
		n := min(t.blockWidth, t.width-x)
		if !t.planar {
			copy(t.pixels[x*t.blockSamples():], t.one[:n*t.blockSamples()])
			continue
		}
		for j, v := range t.one[:n] {
			t.pixels[(x+j)*t.samples+plane] = v
		}
	}
	compositeRow(dst, t.pixels, t.tiffForm)
	return nil
}

// openBlocks opens the blocks of the current row and skips to it.
func (t *tiffDecoder) openBlocks() error {
	for i := range t.blocks {
		if err := t.openBlock(i); err != nil {
			return err
		}
		for range t.row % t.blockHeight {
			if err := t.blocks[i].read(t.raw); err != nil {
				return err
			}
		}
	}
	t.opened = true
	return nil
}

func (t *tiffDecoder) openBlock(i int) error {
	if t.blocks[i] == nil {
		t.blocks[i] = &tiffBlock{compression: t.compression}
	}
	plane, column := i/t.across(), i%t.across()
	n := (plane*t.down()+t.row/t.blockHeight)*t.across() + column
	return t.blocks[i].open(t.r, int64(t.offsets[n]), int64(t.counts[n]), t.blockName(n), min(t.blockHeight, t.height-t.row/t.blockHeight*t.blockHeight))
}

// readBlockRow decodes the next row of block i.
func (t *tiffDecoder) readBlockRow(i int, dst []uint16) error {
	if err := t.blocks[i].read(t.raw); err != nil {
		return err
	}
	if t.bits == 8 {
		if t.predictor {
			undo8(t.raw, t.blockSamples())
		}
		expand8(dst, t.raw)
	} else {
		expand16(dst, t.raw, t.order)
		if t.predictor {
			undo16(dst[:len(t.raw)/2], t.blockSamples())
		}
	}
	if t.whiteIsZero && i < t.across() { // the first plane
		t.invert(dst[:len(t.one)])
	}
	return nil
}

// invert turns white-is-zero grey; alpha and other samples stay.
func (t *tiffDecoder) invert(dst []uint16) {
	for i := 0; i < len(dst); i += t.blockSamples() {
		dst[i] = 65535 - dst[i]
	}
}

// blockBytes is what an open block takes: buffer, inflate window and tables.
const blockBytes = 80 << 10

// tiffBlock gives the rows of one strip or tile.
type tiffBlock struct {
	compression uint32
	name        string
	rows, row   int
	buffer      *bufio.Reader
	unpacked    io.Reader
	inflate     io.ReadCloser // kept between blocks
}

func (b *tiffBlock) open(r io.ReaderAt, offset, count int64, name string, rows int) (err error) {
	b.name, b.rows, b.row = name, rows, 0
	section := io.NewSectionReader(r, offset, count)
	if b.buffer == nil {
		b.buffer = bufio.NewReaderSize(section, 32<<10)
	} else {
		b.buffer.Reset(section)
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
	return b.fault(err)
}

func (b *tiffBlock) openInflate() (err error) {
	if b.inflate == nil {
		b.inflate, err = zlib.NewReader(b.buffer)
		return err
	}
	return b.inflate.(zlib.Resetter).Reset(b.buffer, nil)
}

// read fills p with the next row; after the last one the checksum of a deflated
// block is held against its data.
func (b *tiffBlock) read(p []byte) error {
	if _, err := io.ReadFull(b.unpacked, p); err != nil {
		return b.fault(err)
	}
	if b.row++; b.row == b.rows && b.inflate != nil {
		if _, err := b.unpacked.Read(make([]byte, 1)); errors.Is(err, zlib.ErrChecksum) {
			return b.fault(err)
		}
	}
	return nil
}

// fault says what is wrong with the block. Errors of the disk pass as they are.
func (b *tiffBlock) fault(err error) error {
	switch {
	case err == nil:
		return nil
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		return broken("TIFF", b.name, "ends after %d of %d rows", b.row, b.rows)
	case isDiskError(err):
		return err
	}
	return broken("TIFF", b.name, "the compressed data are damaged in row %d of %d (%v)", b.row+1, b.rows, err)
}
