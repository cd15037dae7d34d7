package raster

import (
	"errors"
	"strings"
	"sync"
)

// heldJPEG is a decoded block that all readers of a picture share.
type heldJPEG struct {
	once sync.Once
	data []byte
	err  error
}

// jpegRows gives rows of JPEG strips or tiles: each is decoded whole.
type jpegRows struct {
	*tiffShared
	data   []byte
	loaded int // the block in data, from 1 on
	row    int
}

func (b *jpegRows) open(block int) (err error) {
	if b.row = 0; b.loaded == block+1 {
		return nil
	}
	if b.loaded = 0; b.held == nil {
		if b.data, err = b.decodeBlock(block, b.data); err == nil {
			b.loaded = block + 1
		}
		return err
	}
	h := &b.held[block]
	h.once.Do(func() { h.data, h.err = b.decodeBlock(block, nil) })
	b.data = h.data
	return h.err
}

// decodeBlock decodes into data, which it makes first if need be.
func (s *tiffShared) decodeBlock(block int, data []byte) ([]byte, error) {
	if err := s.checkUnpacked(block); err != nil {
		return data, err
	}
	n := s.rowBytes() * s.blockRows(block)
	if cap(data) < n {
		data = make([]byte, n)
	}
	packed := make([]byte, s.counts[block])
	if got, err := s.r.ReadAt(packed, int64(s.offsets[block])); got < len(packed) {
		return data, s.readFault(block, 0, err)
	}
	err := decodeTIFFJPEG(s.jpegTables, packed, s.ycbcr, s.blockWidth, s.blockRows(block), s.blockSamples(), data[:n])
	return data[:n], s.inBlock(block, err)
}

// inBlock names the block in what a JPEG decoder found wrong.
func (f *tiffForm) inBlock(i int, err error) error {
	var bad *FormatError
	if !errors.As(err, &bad) {
		return err
	}
	return broken("TIFF", strings.TrimSpace(f.blockName(i)+", JPEG "+bad.Where), "%s", bad.What)
}

func (b *jpegRows) next(p []byte) error {
	copy(p, b.data[b.row*len(p):])
	b.row++
	return nil
}

func (b *jpegRows) skip(n int, _ []byte) error {
	b.row += n
	return nil
}

// jpegBytes is what decoding the largest block takes besides its samples: the
// data and the decoder's planes.
func (f *tiffForm) jpegBytes() int64 {
	var largest uint64
	for _, n := range f.counts[:f.blocks()] {
		largest = max(largest, n)
	}
	return int64(largest) + int64(f.rowBytes())*int64(f.blockHeight) + jpegReadBytes + jpegTables
}

// keptBytes is what blocks take that all readers share.
func (s *tiffShared) keptBytes() int64 {
	if s.held == nil {
		return 0
	}
	return int64(len(s.held))*int64(s.rowBytes())*int64(s.blockHeight) + s.jpegBytes()
}
