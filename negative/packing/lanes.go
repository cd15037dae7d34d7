package packing

import "encoding/binary"

// Eight bytes are worked on at once as lanes of one integer. high marks the top
// bit of each lane: carries must not pass from lane to lane (Warren, "Hacker's
// Delight", 2nd edition, 2-18).
const (
	highOfBytes = 0x8080808080808080
	highOfWords = 0x8000800080008000
)

// minus subtracts each lane of y from that of x.
func minus(x, y, high uint64) uint64 {
	return (x | high) - y&^high ^ (x^^y)&high
}

// half returns (x + y) / 2 of each byte, rounded down (the same book, 2-5).
func half(x, y uint64) uint64 {
	return x&y + (x^y)&^0x0101010101010101>>1
}

// Difference replaces the samples of a row by their differences from the pixel
// on the left, modulo their range: predictor 2 of TIFF 6.0, section 14. Samples
// are 1 byte long, or 2 bytes, the less significant one first; a pixel has
// channels of them.
func Difference(row []byte, channels, sampleBytes int) {
	step, high := channels*sampleBytes, uint64(highOfBytes)
	if sampleBytes == 2 {
		high = highOfWords
	}
	at := len(row) - 8 // from the right end: what is subtracted is still there
	for ; at >= step; at -= 8 {
		x, y := binary.LittleEndian.Uint64(row[at:]), binary.LittleEndian.Uint64(row[at-step:])
		binary.LittleEndian.PutUint64(row[at:], minus(x, y, high))
	}
	differenceStart(row[:max(0, min(at+8, len(row)))], step, sampleBytes)
}

// differenceStart does the first samples of a row one by one.
func differenceStart(row []byte, step, sampleBytes int) {
	if sampleBytes == 1 {
		for i := len(row) - 1; i >= step; i-- {
			row[i] -= row[i-step]
		}
		return
	}
	for i := len(row) - 2; i >= step; i -= 2 {
		v := binary.LittleEndian.Uint16(row[i:]) - binary.LittleEndian.Uint16(row[i-step:])
		binary.LittleEndian.PutUint16(row[i:], v)
	}
}
