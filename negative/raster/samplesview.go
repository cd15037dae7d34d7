package raster

import "encoding/binary"

// Files of 16-bit samples are read to where they are wanted, without a copy: see
// bytesOf.

// settle makes samples of what bytesOf(row) was filled with in a file's order.
func settle(row []uint16, order binary.ByteOrder) {
	if (order == binary.LittleEndian) != littleMachine {
		swapPairs(bytesOf(row))
	}
}

// expandUpper stretches bytes that lie in the upper half of row's memory to
// samples, in place: each is read before its place is written to.
func expandUpper(row []uint16) { expand8(row, bytesOf(row)[len(row):]) }

// together returns how many rows from the first on, each of n samples, lie one
// behind the other in memory that the first may reach, and all of them as one.
func together(dst [][]uint16, n int) (int, []uint16) {
	most := max(min(len(dst), cap(dst[0])/n), 1)
	all := dst[0][:most*n]
	rows := 1
	for rows < most && &all[rows*n] == &dst[rows][0] {
		rows++
	}
	return rows, all[:rows*n]
}
