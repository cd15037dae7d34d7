package raster

import (
	"fmt"
	"io"
)

// tiffDecoder reads the first picture of a TIFF file row by row. Each block
// across the picture (and each plane) has a reader that gives its part of the
// row; no block is held whole unless it is small or cannot be read otherwise.
// Forks share tiffShared and nothing else.
type tiffDecoder struct {
	*tiffShared
	row    int // the next
	opened int // which blocks down the picture are open; -1 for none
	at     int // the row at which they stand
	blocks []blockRows
	raw    []byte   // one block's row
	floats []byte   // the same, out of the floating-point predictor
	one    []uint16 // the same, as samples
	pixels []uint16 // one row with all samples, when it differs from the output
	met    beyond   // of the row being read
}

// tiffShared is what all readers of a picture share.
type tiffShared struct {
	*tiffForm
	head  Header
	r     io.ReaderAt
	tally *tally     // nil where samples cannot lie outside
	held  []heldJPEG // by block; nil unless blocks are kept
}

// newTIFFDecoder reads the directories and checks everything that can be checked
// without decoding.
func newTIFFDecoder(r io.ReaderAt, size int64) (decoder, error) {
	layout, first, err := tiffHeader("TIFF", r, size)
	if err != nil {
		return nil, err
	}
	d, pages, err := firstPage(r, size, layout, first)
	if err != nil {
		return nil, err
	}
	form, err := newTIFFForm(d)
	if err != nil {
		return nil, err
	}
	s := &tiffShared{tiffForm: form, r: r}
	if form.float || form.iccLab {
		s.tally = newTally(form.height)
	}
	if form.compression == compressionJPEG && form.down() == 1 {
		s.held = make([]heldJPEG, form.blocks())
	}
	if s.head, err = s.makeHeader(d, pages); err != nil {
		return nil, err
	}
	return s.newReader(), nil
}

// maxPages bounds the pages that are counted.
const maxPages = 1024

// firstPage follows the chain of directories and returns the first page and how
// many there are. Small previews (bit 0 of tag 254) do not count as pages if
// there is anything else.
func firstPage(r io.ReaderAt, size int64, layout ifdLayout, offset int64) (page *ifd, pages int, err error) {
	var preview *ifd
	seen := map[int64]bool{}
	for offset != 0 && len(seen) < maxPages {
		if seen[offset] {
			return nil, 0, broken("TIFF", fmt.Sprintf("directory at byte %d", offset), "the chain of directories runs in a circle")
		}
		seen[offset] = true
		d, err := readIFD("TIFF", r, size, layout, offset)
		if err != nil {
			return nil, 0, err
		}
		if kind, err := d.uint(tagNewSubfileType, 0); err == nil && kind&1 != 0 {
			preview = first(preview, d)
		} else {
			page, pages = first(page, d), pages+1
		}
		offset = d.next
	}
	if page == nil {
		page, pages = preview, 1
	}
	if page == nil {
		return nil, 0, broken("TIFF", "header", "names no directory: the file has no picture")
	}
	return page, pages, nil
}

func first(a, b *ifd) *ifd {
	if a != nil {
		return a
	}
	return b
}

func (s *tiffShared) makeHeader(d *ifd, pages int) (Header, error) {
	profile, err := d.bytes(tagICC, maxProfile)
	if err != nil {
		return Header{}, err
	}
	h := Header{Width: s.width, Height: s.height, Channels: s.channels, Space: s.space, Bits: min(s.bits, 16),
		Orientation: d.orientation(), Profile: profile, Format: "TIFF", Description: d.text(tagDescription)}
	h.PPIX, h.PPIY = d.ppi()
	if pages > 1 {
		h.Notices = append(h.Notices, fmt.Sprintf("the file has %d pages; the first is used", pages))
	}
	switch n := s.unread(); {
	case n == 1:
		h.Notices = append(h.Notices, "the file has 1 channel beside the colours; it is left out")
	case n > 1:
		h.Notices = append(h.Notices, fmt.Sprintf("the file has %d channels beside the colours; they are left out", n))
	}
	if s.float && len(profile) == 0 {
		h.Gamma = 1
		h.Notices = append(h.Notices, "the file has floating-point samples and no profile; they are taken as linear light, 0 black and 1 white")
	}
	h.Access, h.BandRows = s.access()
	h.ForkBytes = s.readerBytes()
	h.HeldBytes = h.ForkBytes + s.sharedBytes()
	return h, nil
}

// A compressed picture is worth several readers from leastBands strips (or rows
// of tiles) on, if one strip is at most mostBandBytes of rows: with fewer or
// larger ones, readers wait for each other's rows longer than they save, and
// bands of whole strips take more memory than a picture that flows.
const (
	leastBands    = 4
	mostBandBytes = 16 << 20
)

// access says in which order rows can be had, and how many are kept together.
// Uncompressed strips give any row at once.
func (s *tiffShared) access() (Access, int) {
	band := 2 * int64(s.blockHeight) * int64(s.width) * int64(s.channels)
	switch {
	case s.compression == compressionNone && !s.tiled:
		return AnyRow, 1
	case s.held != nil:
		return Whole, s.height
	case s.compression != compressionNone && (s.down() < leastBands || band > mostBandBytes):
		return Sequential, 1
	}
	return AnyRow, min(s.blockHeight, s.height)
}

// newReader returns a decoder at the first row.
func (s *tiffShared) newReader() *tiffDecoder {
	t := &tiffDecoder{tiffShared: s, opened: -1}
	if s.direct() {
		return t
	}
	t.raw = make([]byte, s.rowBytes())
	if s.predictor == predictFloat {
		t.floats = make([]byte, s.rowBytes())
	}
	if !s.plain() {
		t.one = make([]uint16, s.blockWidth*s.blockSamples())
		t.pixels = make([]uint16, s.width*s.samples)
	}
	t.blocks = s.newBlocks()
	return t
}

// readerBytes is what a reader takes, without what is shared.
func (s *tiffShared) readerBytes() int64 {
	if s.direct() {
		return 0
	}
	n := int64(s.rowBytes()) * 2
	if !s.plain() {
		n += 2 * int64(s.blockWidth*s.blockSamples()+s.width*s.samples)
	}
	return n + s.blocksBytes()
}

// sharedBytes is what all readers share.
func (s *tiffShared) sharedBytes() int64 {
	return 16*int64(len(s.offsets)) + 2*int64(len(s.palette)+len(s.stretch)) + int64(s.height/8) + s.keptBytes()
}

func (t *tiffDecoder) header() Header { return t.head }

func (t *tiffDecoder) fork() (decoder, error) { return t.newReader(), nil }

func (t *tiffDecoder) seen() []string {
	if t.tally == nil {
		return nil
	}
	return t.tally.sentences()
}

func (t *tiffDecoder) seekRow(y int) error {
	t.row = y
	return nil
}

// readRows fills rows, straight from the file where that can be.
func (t *tiffDecoder) readRows(dst [][]uint16) (int, error) {
	if t.direct() {
		return t.readDirect(dst)
	}
	for i, row := range dst {
		if err := t.readRow(row[:t.head.RowSamples()]); err != nil {
			return i, err
		}
	}
	return len(dst), nil
}
