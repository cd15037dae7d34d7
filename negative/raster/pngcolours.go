package raster

import "encoding/binary"

// colours turns the samples of a PNG row into 16-bit grey or RGB on white.
type colours struct {
	kind     pngKind
	bits     int
	channels int
	palette  [][3]uint16 // composited
	key      []uint16    // the samples of the one transparent colour, or nil
}

func newColours(p *pngInfo) colours {
	c := colours{kind: p.kind, bits: p.bits, channels: 3}
	switch p.kind {
	case pngGrey, pngGreyAlpha:
		c.channels = 1
	case pngPalette:
		c.palette = newPalette(p)
	}
	if n := p.kind.samples(); (p.kind == pngGrey || p.kind == pngRGB) && len(p.transparent) >= 2*n {
		for i := range n {
			v := binary.BigEndian.Uint16(p.transparent[2*i:])
			c.key = append(c.key, stretch(v&(1<<p.bits-1), p.bits))
		}
	}
	return c
}

func newPalette(p *pngInfo) [][3]uint16 {
	out := make([][3]uint16, len(p.palette)/3)
	for i := range out {
		a := uint16(65535)
		if i < len(p.transparent) {
			a = uint16(p.transparent[i]) * 257
		}
		for j := range 3 {
			out[i][j] = overWhite(uint16(p.palette[3*i+j])*257, a)
		}
	}
	return out
}

// stretch spreads a sample of 1 to 16 bits over 16; exact for all that PNG has.
func stretch(v uint16, bits int) uint16 {
	return uint16(uint32(v) * 65535 / (1<<bits - 1))
}

// sample returns sample i of a row.
func (c *colours) sample(raw []byte, i int) uint16 {
	switch c.bits {
	case 16:
		return binary.BigEndian.Uint16(raw[2*i:])
	case 8:
		return uint16(raw[i]) * 257
	}
	return stretch(uint16(c.packed(raw, i)), c.bits)
}

// packed returns sample i of 1, 2 or 4 bits, the first in the high bits.
func (c *colours) packed(raw []byte, i int) byte {
	at := i * c.bits
	return raw[at/8] >> (8 - c.bits - at%8) & (1<<c.bits - 1)
}

// expand converts a row of any width.
func (c *colours) expand(dst []uint16, raw []byte) error {
	switch {
	case c.kind == pngPalette:
		return c.lookUp(dst, raw)
	case c.kind == pngGreyAlpha || c.kind == pngRGBA:
		c.composite(dst, raw)
	case c.bits == 16:
		expand16(dst, raw, binary.BigEndian)
	case c.bits == 8:
		expand8(dst, raw)
	default:
		for i := range dst {
			dst[i] = c.sample(raw, i)
		}
	}
	if c.key != nil {
		c.clear(dst)
	}
	return nil
}

func (c *colours) lookUp(dst []uint16, raw []byte) error {
	for i := 0; i < len(dst)/3; i++ {
		at := 0
		if c.bits == 8 {
			at = int(raw[i])
		} else {
			at = int(c.packed(raw, i))
		}
		if at >= len(c.palette) {
			return broken("PNG", "picture data", "name colour %d of a palette of %d", at, len(c.palette))
		}
		copy(dst[3*i:3*i+3], c.palette[at][:])
	}
	return nil
}

func (c *colours) composite(dst []uint16, raw []byte) {
	n := c.channels
	for i := 0; i < len(dst)/n; i++ {
		a := c.sample(raw, i*(n+1)+n)
		for j := range n {
			dst[i*n+j] = overWhite(c.sample(raw, i*(n+1)+j), a)
		}
	}
}

// clear makes pixels of the transparent colour white.
func (c *colours) clear(dst []uint16) {
	n := c.channels
	for i := 0; i+n <= len(dst); i += n {
		same := true
		for j, v := range c.key {
			same = same && dst[i+j] == v
		}
		if same {
			for j := range n {
				dst[i+j] = 65535
			}
		}
	}
}
