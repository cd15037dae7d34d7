package raster

import (
	"encoding/binary"
	"unsafe"
)

var (
	big    = binary.BigEndian
	little = binary.LittleEndian
)

// littleMachine is whether this machine keeps the less significant byte first,
// as nearly all do.
var littleMachine = binary.NativeEndian.Uint16([]byte{1, 0}) == 1

// bytesOf returns the memory of samples, in the order of this machine.
func bytesOf(samples []uint16) []byte {
	return unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(samples))), 2*len(samples))
}

// appendLittle appends samples, the less significant byte first.
func appendLittle(dst []byte, samples []uint16) []byte {
	if littleMachine {
		return append(dst, bytesOf(samples)...)
	}
	for _, v := range samples {
		dst = little.AppendUint16(dst, v)
	}
	return dst
}

// appendBig appends samples, the more significant byte first.
func appendBig(dst []byte, samples []uint16) []byte {
	at := len(dst)
	dst = appendLittle(dst, samples)
	swapPairs(dst[at:])
	return dst
}

// swapPairs exchanges the bytes of each pair, eight bytes at a time.
func swapPairs(b []byte) {
	at := 0
	for ; at+8 <= len(b); at += 8 {
		v := little.Uint64(b[at:])
		little.PutUint64(b[at:], v<<8&0xff00ff00ff00ff00|v>>8&0x00ff00ff00ff00ff)
	}
	for ; at+2 <= len(b); at += 2 {
		b[at], b[at+1] = b[at+1], b[at]
	}
}

// appendEight appends samples rounded to 8 bits; multiples of 257 are exact.
func appendEight(dst []byte, samples []uint16) []byte {
	at := len(dst)
	dst = append(dst, make([]byte, len(samples))...)
	for i, v := range samples {
		dst[at+i] = byte((uint32(v) + 128) / 257)
	}
	return dst
}
