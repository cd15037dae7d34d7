package tone

import "sync"

// Pixels turns rows of a picture's samples straight into rows of printer codes,
// where the picture's grid is kept and no luminance has to stand in between. It
// gives the codes that Luminance.Row and InkTable.Encode give. It is safe for
// concurrent use.
type Pixels struct {
	ink      *inkCells
	lum      Luminance
	channels int // of the picture
	o        PixelOptions
	direct   []uint16 // of each sample value, interleaved, for grey pictures
	r, g, b  *[65536]float32
}

// PixelOptions are what Options say of single pixels.
type PixelOptions struct {
	InputNegative bool // v to 65535 - v first
	Positive      bool
	Mirror        bool // the row's last pixel first
}

// matrixTables is a Luminance that is the sum of one table a channel, limited
// to 0..1. All are nil when it is something else.
type matrixTables interface {
	MatrixTables() (r, g, b *[65536]float32)
}

// Pixels plans rows of a picture with channels samples a pixel, which lum
// understands. A grey picture takes a table of 128 kB a printer channel.
func (f *InkTable) Pixels(lum Luminance, channels int, o PixelOptions) *Pixels {
	p := &Pixels{ink: f.cellsFor(o.Positive), lum: lum, channels: channels, o: o}
	if channels == 1 {
		p.bakeDirect()
	}
	if m, ok := lum.(matrixTables); ok && channels == 3 && f.channels == 1 {
		p.r, p.g, p.b = m.MatrixTables()
	}
	return p
}

// bakeDirect tabulates all values of a grey sample.
func (p *Pixels) bakeDirect() {
	src := make([]uint16, 1<<16)
	for v := range src {
		src[v] = p.sample(uint16(v))
	}
	y := make([]float32, len(src))
	p.lum.Row(y, src)
	n := p.ink.channels
	p.direct = make([]uint16, n*len(src))
	p.ink.encode(p.direct, 0, n, y)
}

// sample undoes an inversion of the picture.
func (p *Pixels) sample(v uint16) uint16 {
	if p.o.InputNegative {
		return 65535 - v
	}
	return v
}

// Row writes the printer codes of one row: as many pixels as src holds. dst must
// have room for them. It may invert src in place.
func (p *Pixels) Row(dst, src []uint16) {
	if p.direct == nil && p.o.InputNegative {
		for i, v := range src {
			src[i] = 65535 - v
		}
	}
	n, width := p.ink.channels, len(src)/p.channels
	first, step := 0, n
	if p.o.Mirror {
		first, step = (width-1)*n, -n
	}
	switch {
	case width == 0:
	case p.direct != nil && n == 1:
		p.greyRow(dst, src, first, step)
	case p.direct != nil:
		p.greyToColour(dst, src, first, step)
	case p.r != nil:
		p.matrixRow(dst, src, first, step)
	default:
		p.anyRow(dst, src, first, step)
	}
}

func (p *Pixels) greyRow(dst, src []uint16, at, step int) {
	table := (*[1 << 16]uint16)(p.direct)
	for _, v := range src {
		dst[at] = table[v]
		at += step
	}
}

func (p *Pixels) greyToColour(dst, src []uint16, at, step int) {
	for _, v := range src {
		copy(dst[at:at+3], p.direct[3*int(v):3*int(v)+3])
		at += step
	}
}

// matrixRow goes from red, green, blue to the one printer channel in one loop.
func (p *Pixels) matrixRow(dst, src []uint16, at, step int) {
	r, g, b, table := p.r, p.g, p.b, p.ink.table(0)
	for len(src) >= 3 {
		y := r[src[0]] + g[src[1]] + b[src[2]]
		src = src[3:]
		luma := lumaStep(y)
		if luma >= lumaWhite {
			luma = endStep(y)
		}
		if c := table[luma>>cellBits]; c.rise != bent {
			dst[at] = c.at(luma&(1<<cellBits-1), cellBits)
		} else {
			dst[at] = p.ink.code(0, luma)
		}
		at += step
	}
}

// pieceLength is how many pixels are taken at a time: 1 kB of light.
const pieceLength = 256

var pieces = sync.Pool{New: func() any { return new([pieceLength]float32) }}

// anyRow goes through luminance, a piece of the row at a time.
func (p *Pixels) anyRow(dst, src []uint16, at, step int) {
	piece := pieces.Get().(*[pieceLength]float32)
	defer pieces.Put(piece)
	for width := len(src) / p.channels; width > 0; {
		y := piece[:min(width, len(piece))]
		p.lum.Row(y, src[:len(y)*p.channels])
		p.ink.encode(dst, at, step, y)
		at += step * len(y)
		src, width = src[len(y)*p.channels:], width-len(y)
	}
}
