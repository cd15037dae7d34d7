package raster

import "sync"

// adam7 lists the passes of an interlaced picture: first column and row, and
// the steps between (PNG, 2nd edition, 8.2).
var adam7 = [7]struct{ x, y, dx, dy int }{
	{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2},
}

// pngHeld is an interlaced picture, decoded once for all its readers.
type pngHeld struct {
	once  sync.Once
	whole []uint16
	err   error
}

func (p *pngDecoder) whole() ([]uint16, error) {
	p.held.once.Do(func() { p.held.whole, p.held.err = p.decodeWhole() })
	return p.held.whole, p.held.err
}

func (p *pngDecoder) decodeWhole() ([]uint16, error) {
	if err := p.start(p.width); err != nil {
		return nil, err
	}
	whole := make([]uint16, p.height*p.head.RowSamples())
	part := make([]uint16, p.head.RowSamples())
	for pass := range adam7 {
		if err := p.readPass(pass, whole, part); err != nil {
			return nil, err
		}
	}
	return whole, p.fault(p.checkEnd())
}

// readPass spreads the rows of one pass over the picture.
func (p *pngDecoder) readPass(pass int, whole, part []uint16) error {
	a, n := adam7[pass], p.head.Channels
	width := (p.width - a.x + a.dx - 1) / a.dx
	if p.width <= a.x || p.height <= a.y {
		return nil
	}
	rows := newPNGRows(p.inflate, p.rowBytes(width), max(1, p.bits*p.kind.samples()/8))
	for y := a.y; y < p.height; y += a.dy {
		raw, err := rows.next()
		if err != nil {
			return p.fault(err)
		}
		if err := p.colours.expand(part[:width*n], raw); err != nil {
			return err
		}
		line := whole[y*p.head.RowSamples():]
		for i := range width {
			copy(line[(a.x+i*a.dx)*n:(a.x+i*a.dx)*n+n], part[i*n:])
		}
	}
	return nil
}
