package raster

import "io"

// packBits undoes Apple's run-length packing (TIFF 6.0, section 9): a count n of
// 0..127 is followed by n+1 bytes, one of -127..-1 by one byte that stands for
// 1-n, and -128 does nothing.
type packBits struct {
	r       io.ByteReader
	literal int // bytes still to copy
	repeat  int // times still to give value
	value   byte
}

func (p *packBits) Read(dst []byte) (int, error) {
	for i := range dst {
		v, err := p.next()
		if err != nil {
			return i, err
		}
		dst[i] = v
	}
	return len(dst), nil
}

func (p *packBits) next() (byte, error) {
	for p.literal == 0 && p.repeat == 0 {
		n, err := p.r.ReadByte()
		if err != nil {
			return 0, err
		}
		switch {
		case n < 128:
			p.literal = int(n) + 1
		case n > 128:
			if p.value, err = p.r.ReadByte(); err != nil {
				return 0, err
			}
			p.repeat = 257 - int(n)
		}
	}
	if p.repeat > 0 {
		p.repeat--
		return p.value, nil
	}
	p.literal--
	return p.r.ReadByte()
}
