package packing

import "encoding/binary"

// The filters of PNG (ISO/IEC 15948:2004, clause 9) that are used here; PDF has
// the same (ISO 32000-1:2008, 7.4.4.4). The mean of left and above leaves the
// least of grain and dither; the row above, where charts repeat themselves.
const (
	filterLeft  = 1
	filterAbove = 2
	filterMean  = 3
)

// filterOf is the filter before each way of packing.
var filterOf = [...]byte{codes: filterMean, repeats: filterAbove, flat: filterAbove}

// filter writes row, filtered, to out, which is as long. above is the row above,
// nil for none: then the pixel on the left alone is subtracted. It returns the
// filter that was used.
func filter(kind byte, out, row, above []byte, pixel int) byte {
	if above == nil {
		kind = filterLeft
	}
	switch kind {
	case filterLeft:
		takeLeft(out, row, pixel)
	case filterAbove:
		takeAbove(out, row, above)
	case filterMean:
		takeMean(out, row, above, pixel)
	}
	return kind
}

func takeLeft(out, row []byte, pixel int) {
	at := copy(out, row[:min(pixel, len(row))])
	for ; at+8 <= len(row); at += 8 {
		x, left := binary.LittleEndian.Uint64(row[at:]), binary.LittleEndian.Uint64(row[at-pixel:])
		binary.LittleEndian.PutUint64(out[at:], minus(x, left, highOfBytes))
	}
	for ; at < len(row); at++ {
		out[at] = row[at] - row[at-pixel]
	}
}

func takeAbove(out, row, above []byte) {
	at := 0
	for ; at+8 <= len(row); at += 8 {
		x, up := binary.LittleEndian.Uint64(row[at:]), binary.LittleEndian.Uint64(above[at:])
		binary.LittleEndian.PutUint64(out[at:], minus(x, up, highOfBytes))
	}
	for ; at < len(row); at++ {
		out[at] = row[at] - above[at]
	}
}

func takeMean(out, row, above []byte, pixel int) {
	at := 0
	for ; at < min(pixel, len(row)); at++ {
		out[at] = row[at] - above[at]/2
	}
	for ; at+8 <= len(row); at += 8 {
		x, left := binary.LittleEndian.Uint64(row[at:]), binary.LittleEndian.Uint64(row[at-pixel:])
		up := binary.LittleEndian.Uint64(above[at:])
		binary.LittleEndian.PutUint64(out[at:], minus(x, half(left, up), highOfBytes))
	}
	for ; at < len(row); at++ {
		out[at] = row[at] - byte((int(row[at-pixel])+int(above[at]))/2)
	}
}
