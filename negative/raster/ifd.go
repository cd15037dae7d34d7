package raster

import (
	"encoding/binary"
	"fmt"
	"io"
)

// ifd is one image file directory of a TIFF file or of EXIF data, which has the
// same form (TIFF 6.0, 1992, section 2; EXIF 2.3, 4.6.2).
type ifd struct {
	format string // for errors
	r      io.ReaderAt
	size   int64
	order  binary.ByteOrder
	fields map[uint16]field
	next   uint32 // offset of the next directory, 0 after the last
}

// field is one entry of a directory, its value not yet read.
type field struct {
	kind  uint16
	count uint32
	value [4]byte // the value, or where it is
}

// Field types of TIFF 6.0, page 15, and IFD of Adobe's TIFF Technical Note 1.
const (
	typeByte      = 1
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
	typeIFD       = 13
)

// typeSize is the length of a value by field type; 0 for types unknown.
func typeSize(kind uint16) int64 {
	sizes := [...]int64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4}
	if int(kind) < len(sizes) {
		return sizes[kind]
	}
	return 0
}

// tiffHeader returns byte order and offset of the first directory.
func tiffHeader(format string, r io.ReaderAt, size int64) (binary.ByteOrder, uint32, error) {
	head, err := readAt(format, "header", r, size, 0, 8)
	if err != nil {
		return nil, 0, err
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(head[:2]) {
	case "II":
	case "MM":
		order = binary.BigEndian
	default:
		return nil, 0, broken(format, "header", "byte order %q, expected II or MM", head[:2])
	}
	if v := order.Uint16(head[2:]); v != 42 {
		return nil, 0, broken(format, "header", "version %d, expected 42", v)
	}
	return order, order.Uint32(head[4:]), nil
}

// readIFD reads the directory at offset.
func readIFD(format string, r io.ReaderAt, size int64, order binary.ByteOrder, offset uint32) (*ifd, error) {
	where := fmt.Sprintf("directory at byte %d", offset)
	head, err := readAt(format, where, r, size, int64(offset), 2)
	if err != nil {
		return nil, err
	}
	n := int64(order.Uint16(head))
	raw, err := readAt(format, where, r, size, int64(offset)+2, 12*n+4)
	if err != nil {
		return nil, err
	}
	d := &ifd{format: format, r: r, size: size, order: order, fields: map[uint16]field{}}
	for ; len(raw) > 4; raw = raw[12:] {
		tag := order.Uint16(raw)
		if _, twice := d.fields[tag]; !twice {
			d.fields[tag] = field{order.Uint16(raw[2:]), order.Uint32(raw[4:]), [4]byte(raw[8:12])}
		}
	}
	d.next = order.Uint32(raw)
	return d, nil
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
func (d *ifd) bytes(tag uint16, most int64) ([]byte, error) {
	f, ok := d.fields[tag]
	if !ok {
		return nil, nil
	}
	where := tagName(tag)
	n := typeSize(f.kind) * int64(f.count)
	switch {
	case typeSize(f.kind) == 0:
		return nil, broken(d.format, where, "has field type %d, which does not exist", f.kind)
	case n <= 4:
		return append([]byte(nil), f.value[:n]...), nil
	case n > most:
		return nil, broken(d.format, where, "has %d bytes, expected at most %d", n, most)
	}
	return readAt(d.format, where, d.r, d.size, int64(d.order.Uint32(f.value[:])), n)
}

// uints returns the whole numbers of a field, nil when it is absent.
func (d *ifd) uints(tag uint16) ([]uint32, error) {
	raw, err := d.bytes(tag, maxArray)
	if raw == nil || err != nil {
		return nil, err
	}
	kind := d.fields[tag].kind
	out := make([]uint32, d.fields[tag].count)
	for i := range out {
		switch kind {
		case typeByte:
			out[i] = uint32(raw[i])
		case typeShort:
			out[i] = uint32(d.order.Uint16(raw[2*i:]))
		case typeLong, typeIFD:
			out[i] = d.order.Uint32(raw[4*i:])
		default:
			return nil, broken(d.format, tagName(tag), "has field type %d, expected whole numbers", kind)
		}
	}
	return out, nil
}

// uint returns the first number of a field, or what it is when absent.
func (d *ifd) uint(tag uint16, absent uint32) (uint32, error) {
	v, err := d.uints(tag)
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
	raw, err := d.bytes(tag, maxArray)
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
