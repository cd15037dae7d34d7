package raster

import (
	"bufio"
	"io"
)

// packBits undoes Apple's run-length packing (TIFF 6.0, section 9): a count n of
// 0..127 is followed by n+1 bytes, one of -127..-1 by one byte that stands for
// 1-n, and -128 does nothing.
type packBits struct {
	r       *bufio.Reader
	literal int // bytes still to copy
	repeat  int // times still to give value
	value   byte
}

func (p *packBits) Read(dst []byte) (int, error) {
	for at := 0; at < len(dst); {
		if p.literal == 0 && p.repeat == 0 {
			if err := p.nextRun(); err != nil {
				return at, err
			}
		}
		rest := dst[at:]
		if p.repeat > 0 {
			rest = rest[:min(len(rest), p.repeat)]
			for i := range rest {
				rest[i] = p.value
			}
			p.repeat -= len(rest)
			at += len(rest)
			continue
		}
		n, err := io.ReadFull(p.r, rest[:min(len(rest), p.literal)])
		p.literal -= n
		if at += n; err != nil {
			return at, err
		}
	}
	return len(dst), nil
}

func (p *packBits) nextRun() error {
	for p.literal == 0 && p.repeat == 0 {
		n, err := p.r.ReadByte()
		if err != nil {
			return err
		}
		switch {
		case n < 128:
			p.literal = int(n) + 1
		case n > 128:
			if p.value, err = p.r.ReadByte(); err != nil {
				return err
			}
			p.repeat = 257 - int(n)
		}
	}
	return nil
}
