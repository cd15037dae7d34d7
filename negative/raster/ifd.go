package raster

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// ifd is one image file directory of a TIFF file or of EXIF data, which has the
// same form (TIFF 6.0, 1992, section 2; EXIF 2.3, 4.6.2).
type ifd struct {
	format string // for errors
	r      io.ReaderAt
	size   int64
	ifdLayout
	fields map[uint16]field
	next   int64 // offset of the next directory, 0 after the last
}

// ifdLayout is how a file writes numbers and directories.
type ifdLayout struct {
	order binary.ByteOrder
	big   bool // BigTIFF: offsets and counts of 64 bits
}

// field is one entry of a directory, its value not yet read.
type field struct {
	kind  uint16
	count uint64
	value []byte // 4 bytes, of BigTIFF 8: the value, or where it is
}

// Field types of TIFF 6.0, page 15, IFD of Adobe's TIFF Technical Note 1, and the
// three of BigTIFF.
const (
	typeByte      = 1
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
	typeIFD       = 13
	typeLong8     = 16
	typeIFD8      = 18
)

// typeSize is the length of a value by field type; 0 for types unknown.
func typeSize(kind uint16) uint64 {
	sizes := [...]uint64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8}
	if int(kind) < len(sizes) {
		return sizes[kind]
	}
	return 0
}

// tiffHeader returns the layout of a file and the offset of its first directory.
func tiffHeader(format string, r io.ReaderAt, size int64) (ifdLayout, int64, error) {
	l := ifdLayout{order: binary.LittleEndian}
	head, err := readAt(format, "header", r, size, 0, 8)
	if err != nil {
		return l, 0, err
	}
	switch string(head[:2]) {
	case "II":
	case "MM":
		l.order = binary.BigEndian
	default:
		return l, 0, broken(format, "header", "byte order %q, expected II or MM", head[:2])
	}
	switch v := l.order.Uint16(head[2:]); v {
	case 42:
		return l, int64(l.order.Uint32(head[4:])), nil
	case 43:
		l.big = true
		offset, err := l.bigHeader(format, r, size, head)
		return l, offset, err
	default:
		return l, 0, broken(format, "header", "version %d, expected 42, or 43 for BigTIFF", v)
	}
}

// bigHeader reads the header of a BigTIFF file: the length of an offset, which
// is always 8, a zero, and the first offset.
func (l ifdLayout) bigHeader(format string, r io.ReaderAt, size int64, head []byte) (int64, error) {
	if n, zero := l.order.Uint16(head[4:]), l.order.Uint16(head[6:]); n != 8 || zero != 0 {
		return 0, broken(format, "header", "offsets of %d bytes, expected 8", n)
	}
	raw, err := readAt(format, "header", r, size, 8, 8)
	if err != nil {
		return 0, err
	}
	return l.offset(raw), nil
}

// offset returns an offset; one beyond 63 bits is larger than any file.
func (l ifdLayout) offset(raw []byte) int64 {
	if !l.big {
		return int64(l.order.Uint32(raw))
	}
	return int64(min(l.order.Uint64(raw), math.MaxInt64))
}

// sizes returns the bytes that a directory's count, an entry, and an offset in it
// take.
func (l ifdLayout) sizes() (count, entry, offset int64) {
	if l.big {
		return 8, 20, 8
	}
	return 2, 12, 4
}

// maxFields bounds the fields of a directory: some hundred tags are in use.
const maxFields = 4096

// readIFD reads the directory at offset.
func readIFD(format string, r io.ReaderAt, size int64, l ifdLayout, offset int64) (*ifd, error) {
	where := fmt.Sprintf("directory at byte %d", offset)
	countBytes, entryBytes, offsetBytes := l.sizes()
	head, err := readAt(format, where, r, size, offset, countBytes)
	if err != nil {
		return nil, err
	}
	n := uint64(l.order.Uint16(head))
	if l.big {
		n = l.order.Uint64(head)
	}
	if n > maxFields {
		return nil, broken(format, where, "has %d fields, expected at most %d", n, maxFields)
	}
	raw, err := readAt(format, where, r, size, offset+countBytes, entryBytes*int64(n)+offsetBytes)
	if err != nil {
		return nil, err
	}
	d := &ifd{format: format, r: r, size: size, ifdLayout: l, fields: make(map[uint16]field, n)}
	for range n {
		d.addField(raw[:entryBytes])
		raw = raw[entryBytes:]
	}
	d.next = l.offset(raw)
	return d, nil
}

// addField takes an entry; of several with the same tag the first counts.
func (d *ifd) addField(raw []byte) {
	tag := d.order.Uint16(raw)
	if _, twice := d.fields[tag]; twice {
		return
	}
	f := field{kind: d.order.Uint16(raw[2:])}
	if d.big {
		f.count, f.value = d.order.Uint64(raw[4:]), raw[12:20]
	} else {
		f.count, f.value = uint64(d.order.Uint32(raw[4:])), raw[8:12]
	}
	d.fields[tag] = f
}

// readAt returns n bytes at offset, all inside the file.
func readAt(format, where string, r io.ReaderAt, size, offset, n int64) ([]byte, error) {
	if offset < 0 || n < 0 || offset > size || n > size-offset {
		return nil, broken(format, where, "needs %d bytes at byte %d, but the file has %d bytes", n, offset, size)
	}
	p := make([]byte, n)
	if got, err := r.ReadAt(p, offset); got < len(p) {
		return nil, noEOF(err)
	}
	return p, nil
}

// bytes returns the raw value of a field, nil when it is absent.
func (d *ifd) bytes(tag uint16, most uint64) ([]byte, error) {
	return d.bytesOf(tag, math.MaxUint64, most)
}

// bytesOf returns the raw value of a field's first values.
func (d *ifd) bytesOf(tag uint16, first, most uint64) ([]byte, error) {
	f, ok := d.fields[tag]
	if !ok {
		return nil, nil
	}
	where, each := tagName(tag), typeSize(f.kind)
	if each == 0 {
		return nil, broken(d.format, where, "has field type %d, which does not exist", f.kind)
	}
	if f.count <= uint64(len(f.value))/each {
		return append([]byte(nil), f.value[:min(f.count, first)*each]...), nil
	}
	count := min(f.count, first)
	if count > most/each {
		return nil, broken(d.format, where, "has %d values of %d bytes, expected at most %d bytes", f.count, each, most)
	}
	return readAt(d.format, where, d.r, d.size, d.offset(f.value), int64(count*each))
}

// firstUints returns the first whole numbers of a field, so many at most; nil when
// it is absent.
func (d *ifd) firstUints(tag uint16, first uint64) ([]uint64, error) {
	raw, err := d.bytesOf(tag, first, maxArray)
	if raw == nil || err != nil {
		return nil, err
	}
	kind := d.fields[tag].kind
	out := make([]uint64, uint64(len(raw))/typeSize(kind))
	for i := range out {
		switch kind {
		case typeByte:
			out[i] = uint64(raw[i])
		case typeShort:
			out[i] = uint64(d.order.Uint16(raw[2*i:]))
		case typeLong, typeIFD:
			out[i] = uint64(d.order.Uint32(raw[4*i:]))
		case typeLong8, typeIFD8:
			out[i] = d.order.Uint64(raw[8*i:])
		default:
			return nil, broken(d.format, tagName(tag), "has field type %d, expected whole numbers", kind)
		}
	}
	return out, nil
}

// uint returns the first number of a field, or what it is when absent.
func (d *ifd) uint(tag uint16, absent uint64) (uint64, error) {
	v, err := d.firstUints(tag, 1)
	if err != nil {
		return 0, err
	}
	if len(v) == 0 {
		return absent, nil
	}
	return v[0], nil
}

// rational returns a field's first ratio; 0 when it is absent or no number.
func (d *ifd) rational(tag uint16) float64 {
	f := d.fields[tag]
	raw, err := d.bytesOf(tag, 1, maxArray)
	if err != nil || f.kind != typeRational || len(raw) < 8 {
		return 0
	}
	num, den := d.order.Uint32(raw), d.order.Uint32(raw[4:])
	if den == 0 {
		return 0
	}
	return float64(num) / float64(den)
}

// text returns a field's text up to the first NUL; "" when absent or broken: no
// picture is refused for its caption.
func (d *ifd) text(tag uint16) string {
	raw, err := d.bytes(tag, maxText)
	if err != nil || d.fields[tag].kind != typeASCII {
		return ""
	}
	return trimText(raw)
}

// ppi returns the resolution fields in pixels an inch (TIFF 6.0, pages 35, 38,
// 41: unit 2 inch, the default, and 3 centimetre; 1 is none).
func (d *ifd) ppi() (x, y float64) {
	unit, err := d.uint(tagResolutionUnit, 2)
	x, y = d.rational(tagXResolution), d.rational(tagYResolution)
	switch {
	case err != nil || unit < 2 || unit > 3:
		return 0, 0
	case unit == 3:
		return x * 2.54, y * 2.54
	}
	return x, y
}

// orientation returns tag 274; values outside 1..8 count as 1, as all readers do.
func (d *ifd) orientation() int {
	v, err := d.uint(tagOrientation, 1)
	if err != nil || v < 1 || v > 8 {
		return 1
	}
	return int(v)
}
