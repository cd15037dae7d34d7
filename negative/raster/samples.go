package raster

import (
	"encoding/binary"
	"errors"
	"io/fs"
)

// expand8 stretches bytes to 16 bits: times 257, exactly; four at a time. src may
// be the upper half of dst's memory.
func expand8(dst []uint16, src []byte) {
	dst = dst[:len(src)]
	i := 0
	if littleMachine {
		for raw := bytesOf(dst); i+4 <= len(src); i += 4 {
			v := uint64(little.Uint32(src[i:]))
			v = (v | v<<16) & 0x0000ffff0000ffff
			v = (v | v<<8) & 0x00ff00ff00ff00ff
			little.PutUint64(raw[2*i:], v|v<<8)
		}
	}
	for ; i < len(src); i++ {
		dst[i] = uint16(src[i]) * 257
	}
}

// widen8 takes bytes as they are.
func widen8(dst []uint16, src []byte) {
	dst = dst[:len(src)]
	for i, v := range src {
		dst[i] = uint16(v)
	}
}

// expand16 reads 16-bit samples.
func expand16(dst []uint16, src []byte, order binary.ByteOrder) {
	dst = dst[:len(src)/2]
	if order == binary.BigEndian {
		for i := range dst {
			dst[i] = binary.BigEndian.Uint16(src[2*i:])
		}
		return
	}
	for i := range dst {
		dst[i] = binary.LittleEndian.Uint16(src[2*i:])
	}
}

// expand32 rounds 32-bit samples to 16 bits.
func expand32(dst []uint16, src []byte, order binary.ByteOrder) {
	const full = 1<<32 - 1
	for i := range dst {
		dst[i] = uint16((uint64(order.Uint32(src[4*i:]))*65535 + full/2) / full)
	}
}

// unpackBits reads samples of fewer than 16 bits, the highest first whatever the
// file's byte order (TIFF 6.0, page 29).
func unpackBits(dst []uint16, src []byte, bits int) {
	var have, at int
	var held uint32
	mask := uint32(1)<<bits - 1
	for i := range dst {
		for have < bits {
			held = held<<8 | uint32(src[at])
			have, at = have+8, at+1
		}
		have -= bits
		dst[i] = uint16(held >> have & mask)
	}
}

// stretchTable returns what samples of few bits are at 16, rounded.
func stretchTable(bits int) []uint16 {
	full := uint32(1)<<bits - 1
	table := make([]uint16, full+1)
	for v := range table {
		table[v] = uint16((uint32(v)*65535 + full/2) / full)
	}
	return table
}

// lookUp replaces samples by what a table has for them.
func lookUp(row, table []uint16) {
	for i, v := range row {
		row[i] = table[v]
	}
}

// isDiskError reports whether reading itself failed, not decoding.
func isDiskError(err error) bool {
	var p *fs.PathError
	return errors.As(err, &p)
}
