package packing

import (
	"hash/adler32"
	"slices"
)

// Form is how the rows of a picture are stored: the length of a row, and of a
// pixel rounded up to a whole byte, both in bytes.
type Form struct{ RowBytes, PixelBytes int }

// Piece is what a stream must know of one of its pieces, for its checksum.
type Piece struct {
	Bytes int    // before deflate
	Sum   uint32 // Adler-32 of them (RFC 1950, section 8.2)
}

// AppendRows filters the rows in data for PNG or PDF, each with the number of its
// filter in front, and appends them to dst as deflate blocks that end on a byte.
// The rows look at none outside data, so that pieces of a picture can be packed
// in any order. data must hold whole rows.
func (p *Packer) AppendRows(dst, data []byte, f Form) ([]byte, Piece) {
	w := p.choose(p.sampleRows(0, data, f, codes), p.sampleRows(1, data, f, repeats))
	p.row = slices.Grow(p.row[:0], len(data)+len(data)/f.RowBytes)
	var above []byte
	for at := 0; at < len(data); at += f.RowBytes {
		row := data[at : at+f.RowBytes]
		p.row = appendFiltered(p.row, filterOf[w], row, above, f.PixelBytes)
		above = row
	}
	return p.append(dst, p.row, w), Piece{len(p.row), adler32.Checksum(p.row)}
}

// appendFiltered appends the number of the filter and the filtered row.
func appendFiltered(dst []byte, kind byte, row, above []byte, pixel int) []byte {
	at := len(dst)
	dst = append(append(dst, 0), row...)
	dst[at] = filter(kind, dst[at+1:], row, above, pixel)
	return dst
}

// sampleRows gathers pieces of rows from places all over data, filtered as they
// would be for w, in one of two rooms.
func (p *Packer) sampleRows(room int, data []byte, f Form, w way) []byte {
	out := p.sample[room][:0]
	rows := len(data) / f.RowBytes
	wide := min(f.RowBytes, placeBytes)
	tall := max(1, placeBytes/f.RowBytes)
	for i := range places {
		x := i * (f.RowBytes - wide) / (places - 1) / f.PixelBytes * f.PixelBytes
		first := min(1, rows-1) + i*max(0, rows-1-tall)/(places-1)
		for y := first; y < min(first+tall, rows); y++ {
			at := y*f.RowBytes + x
			var above []byte
			if y > 0 {
				above = data[at-f.RowBytes:][:wide]
			}
			out = appendFiltered(out, filterOf[w], data[at:at+wide], above, f.PixelBytes)
		}
	}
	p.sample[room] = out
	return out
}
