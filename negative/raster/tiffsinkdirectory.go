package raster

import "math"

// software is what the files say made them; no version, so that equal pictures
// stay equal bytes.
const software = "actinic"

// fileForm is how a file writes numbers of places: TIFF 6.0 with 32 bits, or
// BigTIFF with 64 (the libtiff project's "BigTIFF Design": version 43, fields of
// 20 bytes, offsets of type LONG8).
type fileForm struct {
	version uint16
	inline  int // bytes of a value that stand in the field itself, and of an offset
	offsets int // type of an array of offsets
}

var (
	classicTIFF = fileForm{version: 42, inline: 4, offsets: typeLong}
	bigTIFF     = fileForm{version: 43, inline: 8, offsets: typeLong8}
)

// header returns the start of a file whose directory is at at.
func (f fileForm) header(at int64) []byte {
	raw := little.AppendUint16([]byte("II"), f.version)
	if f.inline == 8 {
		raw = append(raw, 8, 0, 0, 0) // an offset has 8 bytes
	}
	return f.appendPlace(raw, at)
}

// appendPlace appends an offset or a count of values.
func (f fileForm) appendPlace(raw []byte, v int64) []byte {
	if f.inline == 8 {
		return little.AppendUint64(raw, uint64(v))
	}
	return little.AppendUint32(raw, uint32(v))
}

// entries collects the fields of a directory, in ascending order of tags as
// TIFF 6.0 (page 15) demands.
type entries struct {
	fileForm
	list   []byte // the fields
	count  int
	values []byte // those that do not fit in their field
	base   int64  // where values will be in the file
}

// directory returns what ends the file: the long values, then the directory,
// and at which byte of the file that begins.
func (s *tiffSink) directory(form fileForm) (raw []byte, at int64) {
	e := &entries{fileForm: form, base: s.at}
	h := s.head
	e.long(tagWidth, uint32(h.Width))
	e.long(tagHeight, uint32(h.Height))
	bits := []uint16{uint16(h.Bits), uint16(h.Bits), uint16(h.Bits)}
	e.shorts(tagBits, bits[:h.Channels]...)
	e.shorts(tagCompression, map[Compression]uint16{Deflate: 8, NoCompression: 1}[s.comp])
	e.shorts(tagPhotometric, map[int]uint16{1: 1, 3: 2}[h.Channels]) // 1 BlackIsZero, 2 RGB
	if h.Description != "" {
		e.text(tagDescription, h.Description)
	}
	e.places(tagStripOffsets, s.where)
	e.shorts(tagOrientation, 1)
	e.shorts(tagSamples, uint16(h.Channels))
	e.long(tagRowsPerStrip, uint32(stripRows(h)))
	e.places(tagStripByteCounts, s.size)
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
	return e.finish()
}

func (s *tiffSink) hasResolution() bool { return s.head.PPIX > 0 && s.head.PPIY > 0 }

// finish returns the values, the directory, and where that begins.
func (e *entries) finish() (raw []byte, at int64) {
	raw = e.values
	if e.inline == 8 {
		raw = little.AppendUint64(raw, uint64(e.count))
	} else {
		raw = little.AppendUint16(raw, uint16(e.count))
	}
	raw = append(raw, e.list...)
	return e.appendPlace(raw, 0), e.base + int64(len(e.values)) // no further directory
}

func (e *entries) shorts(tag uint16, values ...uint16) {
	var raw []byte
	for _, v := range values {
		raw = little.AppendUint16(raw, v)
	}
	e.field(tag, typeShort, len(values), raw)
}

func (e *entries) long(tag uint16, v uint32) {
	e.field(tag, typeLong, 1, little.AppendUint32(nil, v))
}

// places adds offsets or lengths.
func (e *entries) places(tag uint16, values []int64) {
	raw := make([]byte, 0, e.inline*len(values))
	for _, v := range values {
		raw = e.appendPlace(raw, v)
	}
	e.field(tag, e.offsets, len(values), raw)
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
	raw := little.AppendUint32(nil, uint32(math.Round(v*float64(den))))
	e.field(tag, typeRational, 1, little.AppendUint32(raw, den))
}

// field adds one entry; a value that is short enough stands in the field itself.
func (e *entries) field(tag uint16, kind, count int, raw []byte) {
	e.count++
	e.list = little.AppendUint16(e.list, tag)
	e.list = little.AppendUint16(e.list, uint16(kind))
	e.list = e.appendPlace(e.list, int64(count))
	if len(raw) <= e.inline {
		e.list = append(e.list, raw...)
		e.list = append(e.list, make([]byte, e.inline-len(raw))...)
		return
	}
	e.list = e.appendPlace(e.list, e.base+int64(len(e.values)))
	e.values = append(e.values, raw...)
	if len(e.values)%2 == 1 {
		e.values = append(e.values, 0)
	}
}
