package packing

import "encoding/binary"

// Header returns the start of a zlib stream of pieces (RFC 1950, 2.2).
func Header() []byte { return []byte(zlibHeader) }

// Sum is the checksum of a stream of pieces. The zero value is that of none.
type Sum struct {
	a, b uint32 // less the 1 that a starts with
}

// adlerBase is the modulus of Adler-32 (RFC 1950, section 8.2).
const adlerBase = 65521

// Add adds the next piece. Its sums are those of its bytes alone, from a = 1;
// behind others, each of its Bytes steps adds what a was before.
func (s *Sum) Add(p Piece) {
	a, b := p.Sum&0xffff, p.Sum>>16
	before := uint64(s.a) * uint64(p.Bytes%adlerBase) % adlerBase
	s.b = (s.b + uint32(before) + b) % adlerBase
	s.a = (s.a + a + adlerBase - 1) % adlerBase
}

// Trailer returns the end of the stream: an empty last block and the checksum.
func (s *Sum) Trailer() []byte {
	a := (s.a + 1) % adlerBase
	return binary.BigEndian.AppendUint32([]byte(lastBlock), s.b<<16|a)
}
