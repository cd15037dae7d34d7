package scan

import "math/bits"

// A scanner that clips writes the ends of its range, or a little short of them.
// In 8 bits only the ends themselves lie beyond these: working values of ours.
const clippedHigh, clippedLow = 65280, 128

// clipping says where the scan holds the end of its range: one bit for each
// pixel of the plane.
type clipping struct {
	width, height, stride int
	high                  []uint64 // some channel is full
	low                   []uint64 // no channel has any light
}

func newClipping(width, height int) *clipping {
	stride := (width + 63) / 64
	return &clipping{width: width, height: height, stride: stride,
		high: make([]uint64, stride*height), low: make([]uint64, stride*height)}
}

// take notes the clipped pixels of a row of samples that falls into row y of
// the plane, each of whose pixels is k wide.
func (c *clipping) take(y int, row []uint16, channels, k int) {
	high, low := c.high[y*c.stride:(y+1)*c.stride], c.low[y*c.stride:(y+1)*c.stride]
	if channels == 1 {
		for i, v := range row {
			if v >= clippedHigh || v <= clippedLow {
				c.mark(high, low, i/k, v)
			}
		}
		return
	}
	for i, x := 0, 0; i+2 < len(row); i, x = i+3, x+1 {
		most := max(row[i], row[i+1], row[i+2])
		if most >= clippedHigh || most <= clippedLow {
			c.mark(high, low, x/k, most)
		}
	}
}

func (c *clipping) mark(high, low []uint64, x int, most uint16) {
	if x >= c.width {
		return
	}
	bit := uint64(1) << (x & 63)
	if most >= clippedHigh {
		high[x>>6] |= bit
	}
	if most <= clippedLow {
		low[x>>6] |= bit
	}
}

// at reports whether the pixel is clipped at the bright or at the dark end.
func (c *clipping) at(x, y int) (high, low bool) {
	i, bit := y*c.stride+x>>6, uint64(1)<<(x&63)
	return c.high[i]&bit != 0, c.low[i]&bit != 0
}

// turnOver mirrors left to right.
func (c *clipping) turnOver() {
	for _, plane := range [][]uint64{c.high, c.low} {
		for y := range c.height {
			turnBits(plane[y*c.stride:(y+1)*c.stride], c.width)
		}
	}
}

func turnBits(row []uint64, width int) {
	n := len(row)
	turned := make([]uint64, n)
	for i, v := range row {
		turned[n-1-i] = bits.Reverse64(v)
	}
	shift := uint(n*64 - width) // the empty bits are in front now
	for i := range row {
		row[i] = turned[i] >> shift
		if shift > 0 && i+1 < n {
			row[i] |= turned[i+1] << (64 - shift)
		}
	}
}
