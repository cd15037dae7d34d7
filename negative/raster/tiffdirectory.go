package raster

import (
	"encoding/binary"
	"math"
)

// software is what the files say made them; no version, so that equal pictures
// stay equal bytes.
const software = "actinic"

// entries collects the fields of a directory, in ascending order of tags as
// TIFF 6.0 (page 15) demands.
type entries struct {
	list   []byte // 12 bytes a field
	values []byte // those that do not fit in their field
	base   uint32 // where values will be in the file
}

var big = binary.BigEndian

// directory returns what ends a file that has base bytes so far: the long
// values, then the directory, and at which byte of the file that begins.
func (s *tiffSink) directory(base uint32) (raw []byte, at uint32) {
	e := &entries{base: base}
	h := s.head
	e.longs(tagWidth, uint32(h.Width))
	e.longs(tagHeight, uint32(h.Height))
	bits := []uint16{uint16(h.Bits), uint16(h.Bits), uint16(h.Bits)}
	e.shorts(tagBits, bits[:h.Channels]...)
	e.shorts(tagCompression, map[Compression]uint16{Deflate: 8, NoCompression: 1}[s.comp])
	e.shorts(tagPhotometric, map[int]uint16{1: 1, 3: 2}[h.Channels]) // 1 BlackIsZero, 2 RGB
	if h.Description != "" {
		e.text(tagDescription, h.Description)
	}
	e.longs(tagStripOffsets, s.where...)
	e.shorts(tagOrientation, 1)
	e.shorts(tagSamples, uint16(h.Channels))
	e.longs(tagRowsPerStrip, uint32(s.rows))
	e.longs(tagStripByteCounts, s.size...)
	if s.hasResolution() {
		e.ratio(tagXResolution, h.PPIX)
		e.ratio(tagYResolution, h.PPIY)
	}
	e.shorts(tagPlanar, 1)
	if s.hasResolution() {
		e.shorts(tagResolutionUnit, 2) // inch
	}
	e.text(tagSoftware, software)
	if s.comp == Deflate {
		e.shorts(tagPredictor, 2)
	}
	raw = big.AppendUint16(e.values, uint16(len(e.list)/12))
	raw = append(raw, e.list...)
	raw = append(raw, 0, 0, 0, 0) // no further directory
	return raw, base + uint32(len(e.values))
}

func (s *tiffSink) hasResolution() bool { return s.head.PPIX > 0 && s.head.PPIY > 0 }

func (e *entries) shorts(tag uint16, values ...uint16) {
	var raw []byte
	for _, v := range values {
		raw = big.AppendUint16(raw, v)
	}
	e.field(tag, typeShort, len(values), raw)
}

func (e *entries) longs(tag uint16, values ...uint32) {
	var raw []byte
	for _, v := range values {
		raw = big.AppendUint32(raw, v)
	}
	e.field(tag, typeLong, len(values), raw)
}

func (e *entries) text(tag uint16, s string) {
	raw := append([]byte(s), 0)
	e.field(tag, typeASCII, len(raw), raw)
}

// ratio stores a resolution exactly where it has few decimals, otherwise to
// about nine digits.
func (e *entries) ratio(tag uint16, v float64) {
	den := uint32(1)
	for den < 1e6 && v*float64(den) != math.Round(v*float64(den)) && v*float64(den) < math.MaxUint32/20 {
		den *= 10
	}
	raw := big.AppendUint32(nil, uint32(math.Round(v*float64(den))))
	e.field(tag, typeRational, 1, big.AppendUint32(raw, den))
}

// field adds one entry; a value of at most 4 bytes stands in the field itself.
func (e *entries) field(tag uint16, kind, count int, raw []byte) {
	e.list = big.AppendUint16(e.list, tag)
	e.list = big.AppendUint16(e.list, uint16(kind))
	e.list = big.AppendUint32(e.list, uint32(count))
	if len(raw) <= 4 {
		e.list = append(e.list, raw...)
		e.list = append(e.list, make([]byte, 4-len(raw))...)
		return
	}
	e.list = big.AppendUint32(e.list, e.base+uint32(len(e.values)))
	e.values = append(e.values, raw...)
	if len(e.values)%2 == 1 {
		e.values = append(e.values, 0)
	}
}
