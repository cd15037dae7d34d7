package raster

import (
	"encoding/binary"
	"fmt"
	"math"
	"sync/atomic"
)

// beyond counts samples that have no place between black and white.
type beyond struct{ white, black, nothing int64 }

// level returns a floating-point sample, 0 black and 1 white, at 16 bits. One
// outside is taken as black or white, no number as black; all are counted.
func (b *beyond) level(v float64) uint16 {
	switch {
	case v > 1:
		b.white++
		return 65535
	case v >= 0:
		return uint16(float64(v*65535) + 0.5)
	case v < 0:
		b.black++
	default:
		b.nothing++
	}
	return 0
}

// floats reads samples of 2, 4 or 8 bytes (IEEE 754). Of each pixel's samples
// only the first colours count: others are no light.
func (b *beyond) floats(dst []uint16, src []byte, order binary.ByteOrder, size, samples, colours int) {
	for i := range dst {
		var v float64
		switch size {
		case 2:
			v = half(order.Uint16(src[2*i:]))
		case 4:
			v = float64(math.Float32frombits(order.Uint32(src[4*i:])))
		default:
			v = math.Float64frombits(order.Uint64(src[8*i:]))
		}
		if i%samples < colours {
			dst[i] = b.level(v)
		} else {
			dst[i] = new(beyond).level(v)
		}
	}
}

// half returns a number of IEEE 754's binary16.
func half(v uint16) float64 {
	exponent, fraction := int(v>>10&31), float64(v&1023)
	f := math.Ldexp(1024+fraction, exponent-25)
	switch {
	case exponent == 0:
		f = math.Ldexp(fraction, -24)
	case exponent == 31 && fraction == 0:
		f = math.Inf(1)
	case exponent == 31:
		f = math.NaN()
	}
	if v>>15 == 1 {
		return -f
	}
	return f
}

// tally adds up what all readers of a picture met, each row once, however often
// it is read.
type tally struct {
	rows                  []atomic.Uint32 // a bit a row
	white, black, nothing atomic.Int64
}

func newTally(height int) *tally { return &tally{rows: make([]atomic.Uint32, (height+31)/32)} }

// add takes what row y has, unless it did before.
func (t *tally) add(y int, b beyond) {
	if b == (beyond{}) {
		return
	}
	bit := uint32(1) << (y % 32)
	if t.rows[y/32].Or(bit)&bit != 0 {
		return
	}
	t.white.Add(b.white)
	t.black.Add(b.black)
	t.nothing.Add(b.nothing)
}

func (t *tally) sentences() []string {
	var out []string
	for _, c := range []struct {
		n         int64
		one, many string
	}{
		{t.white.Load(), "1 sample lay beyond white and was taken as white", "%d samples lay beyond white and were taken as white"},
		{t.black.Load(), "1 sample lay below black and was taken as black", "%d samples lay below black and were taken as black"},
		{t.nothing.Load(), "1 sample was no number and was taken as black", "%d samples were no numbers and were taken as black"},
	} {
		switch {
		case c.n == 1:
			out = append(out, c.one)
		case c.n > 1:
			out = append(out, fmt.Sprintf(c.many, c.n))
		}
	}
	return out
}
