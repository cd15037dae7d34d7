package raster

// rowFilter turns rows of samples into filtered rows of bytes (ISO/IEC
// 15948:2004, clause 9). Each row gets the filter with the smallest sum of
// differences, the standard's own advice (12.8).
type rowFilter struct {
	bits       int
	pixel      int // bytes
	above, row []byte
	candidates [5][]byte // by filter type, with the type in front
}

func newRowFilter(h Header) rowFilter {
	f := rowFilter{bits: h.Bits, pixel: h.Channels * h.Bits / 8, above: make([]byte, rowBytes(h))}
	for kind := range f.candidates {
		f.candidates[kind] = make([]byte, 1+rowBytes(h))
		f.candidates[kind][0] = byte(kind)
	}
	return f
}

// next returns the filtered row; it is good until the next call.
func (f *rowFilter) next(samples []uint16) []byte {
	f.row = appendSamples(f.row[:0], samples, f.bits)
	best, least := 0, -1
	for kind, out := range f.candidates {
		sum := f.filter(kind, out[1:])
		if least < 0 || sum < least {
			best, least = kind, sum
		}
	}
	f.above, f.row = f.row, f.above
	return f.candidates[best]
}

// filter writes the row filtered one way (table 9.1) and returns the sum of the
// differences as signed bytes.
func (f *rowFilter) filter(kind int, out []byte) int {
	sum := 0
	for i, x := range f.row {
		var a, c byte // left, and above left
		if i >= f.pixel {
			a, c = f.row[i-f.pixel], f.above[i-f.pixel]
		}
		out[i] = x - predicted(kind, a, f.above[i], c)
		sum += abs(int(int8(out[i])))
	}
	return sum
}

// predicted returns what a filter expects from the neighbours on the left, above
// and above left.
func predicted(kind int, a, b, c byte) byte {
	switch kind {
	case 1:
		return a
	case 2:
		return b
	case 3:
		return byte((int(a) + int(b)) / 2)
	case 4:
		return paeth(a, b, c)
	}
	return 0
}

func abs(v int) int {
	if v < 0 {
		return -v
	}
	return v
}
