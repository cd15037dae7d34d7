package raster

import "encoding/binary"

// undo8 adds up the differences of horizontal prediction (TIFF 6.0, section 14).
func undo8(row []byte, samples int) {
	for i := samples; i < len(row); i++ {
		row[i] += row[i-samples]
	}
}

// undo16 does so for 16 bits. Sums of the usual pixels stay in registers.
func undo16(row []uint16, samples int) {
	switch samples {
	case 1:
		var a uint16
		for i, v := range row {
			a += v
			row[i] = a
		}
	case 3:
		var a, b, c uint16
		for ; len(row) >= 3; row = row[3:] {
			a, b, c = a+row[0], b+row[1], c+row[2]
			row[0], row[1], row[2] = a, b, c
		}
	default:
		for i := samples; i < len(row); i++ {
			row[i] += row[i-samples]
		}
	}
}

// undoBits does so for samples of fewer bits, which wrap at their own depth.
func undoBits(row []uint16, samples, bits int) {
	mask := uint16(1)<<bits - 1
	for i := samples; i < len(row); i++ {
		row[i] = (row[i] + row[i-samples]) & mask
	}
}

// undo32 does so for samples of 4 bytes and undo64 for those of 8, floating-point
// numbers too: their bits count as whole numbers.
func undo32(row []byte, samples int, order binary.ByteOrder) {
	for i := 4 * samples; i+4 <= len(row); i += 4 {
		order.PutUint32(row[i:], order.Uint32(row[i:])+order.Uint32(row[i-4*samples:]))
	}
}

func undo64(row []byte, samples int, order binary.ByteOrder) {
	for i := 8 * samples; i+8 <= len(row); i += 8 {
		order.PutUint64(row[i:], order.Uint64(row[i:])+order.Uint64(row[i-8*samples:]))
	}
}

// undoFloat undoes the floating-point predictor (Adobe TIFF Technical Note 3,
// 2005): bytes are differences; then come the highest bytes of all samples, the
// second highest, and so on. dst gets the samples with their highest bytes first.
func undoFloat(dst, row []byte, samples, size int) {
	undo8(row, samples)
	n := len(row) / size
	for k := range size {
		for i, v := range row[k*n : (k+1)*n] {
			dst[i*size+k] = v
		}
	}
}

func undoHalf(row []byte, samples int, order binary.ByteOrder) {
	for i := 2 * samples; i+2 <= len(row); i += 2 {
		order.PutUint16(row[i:], order.Uint16(row[i:])+order.Uint16(row[i-2*samples:]))
	}
}
