package raster_test

import (
	"encoding/binary"
	"slices"
)

// tag is one field of a TIFF file made by hand: whole numbers of 2 bytes (kind 3)
// or 4 (kind 4), ratios (5: two numbers each) or bytes (1, 2, 7).
type tag struct {
	number, kind uint16
	values       []uint32
}

func shorts(number uint16, v ...uint32) tag { return tag{number, 3, v} }
func longs(number uint16, v ...uint32) tag  { return tag{number, 4, v} }

// Tags by their numbers in TIFF 6.0 (1992).
const (
	width, height, bits, compression, photometric    = 256, 257, 258, 259, 262
	stripOffsets, samplesPerPixel, rowsPerStrip      = 273, 277, 278
	stripByteCounts, planar, predictor, tileWidth    = 279, 284, 317, 322
	tileLength, tileOffsets, tileCounts, extraSample = 323, 324, 325, 338
	sampleFormat, orientation                        = 339, 274
)

// plain is a grey picture of 8 bits, 4 x 3 pixels in one strip at byte 8.
func plain() []tag {
	return []tag{longs(width, 4), longs(height, 3), shorts(bits, 8), shorts(compression, 1), shorts(photometric, 1),
		longs(stripOffsets, 8), shorts(samplesPerPixel, 1), longs(rowsPerStrip, 3), longs(stripByteCounts, 12)}
}

// with replaces or adds fields.
func with(tags []tag, more ...tag) []tag {
	tags = slices.Clone(tags)
	for _, m := range more {
		tags = slices.DeleteFunc(tags, func(t tag) bool { return t.number == m.number })
		tags = append(tags, m)
	}
	slices.SortFunc(tags, func(a, b tag) int { return int(a.number) - int(b.number) })
	return tags
}

func without(tags []tag, number uint16) []tag {
	return slices.DeleteFunc(slices.Clone(tags), func(t tag) bool { return t.number == number })
}

// makeTIFF puts data at byte 8 and the directory behind them.
func makeTIFF(order binary.AppendByteOrder, data []byte, tags []tag) []byte {
	mark := "II*\x00"
	if order == binary.BigEndian {
		mark = "MM\x00*"
	}
	start := 8 + len(data)
	out := order.AppendUint32([]byte(mark), uint32(start))
	out = append(out, data...)
	out = order.AppendUint16(out, uint16(len(tags)))
	behind := start + 2 + 12*len(tags) + 4
	var long []byte
	for _, t := range tags {
		raw := t.bytes(order)
		out = order.AppendUint16(order.AppendUint16(out, t.number), t.kind)
		out = order.AppendUint32(out, t.count())
		if len(raw) <= 4 {
			out = append(out, append(raw, 0, 0, 0, 0)[:4]...)
			continue
		}
		out = order.AppendUint32(out, uint32(behind+len(long)))
		long = append(long, raw...)
	}
	return append(append(out, 0, 0, 0, 0), long...)
}

func (t tag) count() uint32 {
	if t.kind == 5 {
		return uint32(len(t.values) / 2)
	}
	return uint32(len(t.values))
}

func (t tag) bytes(order binary.AppendByteOrder) []byte {
	var raw []byte
	for _, v := range t.values {
		switch t.kind {
		case 3:
			raw = order.AppendUint16(raw, uint16(v))
		case 4, 5:
			raw = order.AppendUint32(raw, v)
		default:
			raw = append(raw, byte(v))
		}
	}
	return raw
}

// twelve is the picture of plain.
var twelve = []byte{0, 1, 2, 3, 127, 128, 129, 130, 252, 253, 254, 255}

// expanded is bytes as a source gives them.
func expanded(w, h, channels int, b []byte) pixels {
	return paint(w, h, channels, func(x, y, c int) uint16 { return uint16(b[(y*w+x)*channels+c]) * 257 })
}

// makeBigTIFF is makeTIFF with 64-bit offsets and counts: those of blocks are of
// type 16 (LONG8), data stand at byte 16. counts replaces the counts of fields.
func makeBigTIFF(order binary.AppendByteOrder, data []byte, tags []tag, counts map[uint16]uint64) []byte {
	mark := "II+\x00"
	if order == binary.BigEndian {
		mark = "MM\x00+"
	}
	out := order.AppendUint16(order.AppendUint16([]byte(mark), 8), 0)
	start := 16 + len(data)
	out = append(order.AppendUint64(out, uint64(start)), data...)
	out = order.AppendUint64(out, uint64(len(tags)))
	behind := start + 8 + 20*len(tags) + 8
	var long []byte
	for _, t := range tags {
		kind, raw := t.kind, t.bytes(order)
		if t.number == stripOffsets || t.number == stripByteCounts {
			kind, raw = 16, nil
			for _, v := range t.values {
				raw = order.AppendUint64(raw, uint64(v))
			}
		}
		count := uint64(t.count())
		if n, ok := counts[t.number]; ok {
			count = n
		}
		out = order.AppendUint64(order.AppendUint16(order.AppendUint16(out, t.number), kind), count)
		if len(raw) <= 8 {
			out = append(out, append(raw, make([]byte, 8)...)[:8]...)
			continue
		}
		out = order.AppendUint64(out, uint64(behind+len(long)))
		long = append(long, raw...)
	}
	return append(append(out, make([]byte, 8)...), long...)
}
