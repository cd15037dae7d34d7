package raster

import "encoding/binary"

func (t *tiffDecoder) readRow(dst []uint16) error {
	if err := t.reachRow(); err != nil {
		return err
	}
	down := t.opened
	t.opened, t.met = -1, beyond{} // blocks that fail in mid-row stand nowhere
	if t.pixels == nil {
		if err := t.readBlockRow(0, dst); err != nil {
			return err
		}
	} else if err := t.gather(dst); err != nil {
		return err
	}
	if t.tally != nil {
		t.tally.add(t.row, t.met)
	}
	t.row++
	t.at, t.opened = t.row, down
	return nil
}

// reachRow opens the blocks of the next row, unless they are open and stand in
// front of it, and skips to it.
func (t *tiffDecoder) reachRow() error {
	skip, down := t.row-t.at, t.row/t.blockHeight
	if t.opened != down || skip < 0 {
		skip, t.opened = t.row%t.blockHeight, -1
		if err := t.openBlocks(); err != nil {
			return err
		}
		t.opened = down
	}
	if skip == 0 {
		return nil
	}
	t.opened = -1
	for i, b := range t.blocks {
		if t.unwanted(i) {
			continue
		}
		if err := b.skip(skip, t.raw); err != nil {
			return err
		}
	}
	t.opened = down
	return nil
}

func (t *tiffDecoder) openBlocks() error {
	for i, b := range t.blocks {
		if t.unwanted(i) {
			continue
		}
		plane, column := i/t.across(), i%t.across()
		if err := b.open((plane*t.down()+t.row/t.blockHeight)*t.across() + column); err != nil {
			return err
		}
	}
	return nil
}

// unwanted reports whether block i across belongs to a plane that no row shows.
func (t *tiffDecoder) unwanted(i int) bool { return t.planar && !t.wanted(i/t.across()) }

// gather puts a row together from blocks and planes and composites it.
func (t *tiffDecoder) gather(dst []uint16) error {
	n := t.blockSamples()
	for i := range t.blocks {
		if t.unwanted(i) {
			continue
		}
		plane, x := i/t.across(), i%t.across()*t.blockWidth
		part := t.one[:min(t.blockWidth, t.width-x)*n]
		if !t.planar {
			part = t.pixels[x*n : x*n+len(part)]
		}
		if err := t.readBlockRow(i, part); err != nil {
			return err
		}
		if t.planar {
			for j, v := range part {
				t.pixels[(x+j)*t.samples+plane] = v
			}
		}
	}
	t.composite(dst, t.pixels)
	return nil
}

// readBlockRow decodes the next row of block i, so much of it as is inside the
// picture.
func (t *tiffDecoder) readBlockRow(i int, dst []uint16) error {
	if err := t.decodeBlockRow(t.blocks[i], dst, i/t.across()); err != nil {
		return err
	}
	if i/t.across() > 0 {
		return nil // not the first plane
	}
	switch {
	case t.whiteIsZero:
		invertEvery(dst, t.blockSamples())
	case t.iccLab:
		t.met.stretchICCLab(dst, t.blockSamples())
	}
	return nil
}

// decodeBlockRow decodes the row to samples of 16 bits, and indices of palettes
// to themselves.
func (t *tiffDecoder) decodeBlockRow(b blockRows, dst []uint16, plane int) error {
	if t.bits == 16 && !t.float && len(dst) == t.blockWidth*t.blockSamples() {
		if err := b.next(bytesOf(dst)); err != nil {
			return err
		}
		settle(dst, t.order)
		t.undo16(dst)
		return nil
	}
	if err := b.next(t.raw); err != nil {
		return err
	}
	switch {
	case t.float:
		t.unpackFloats(dst, plane)
	case t.bits == 8:
		t.unpack8(dst)
	case t.bits == 16:
		expand16(dst, t.raw[:2*len(dst)], t.order)
		t.undo16(dst)
	case t.bits == 32:
		if t.predictor == predictDifference {
			undo32(t.raw, t.blockSamples(), t.order)
		}
		expand32(dst, t.raw, t.order)
	default:
		t.unpackFew(dst)
	}
	return nil
}

func (t *tiffDecoder) undo16(dst []uint16) {
	if t.predictor == predictDifference {
		undo16(dst, t.blockSamples())
	}
}

func (t *tiffDecoder) unpack8(dst []uint16) {
	if t.predictor == predictDifference {
		undo8(t.raw, t.blockSamples())
	}
	if t.palette != nil {
		widen8(dst, t.raw[:len(dst)])
		return
	}
	expand8(dst, t.raw[:len(dst)])
}

// unpackFew reads samples of fewer than 16 bits but not 8.
func (t *tiffDecoder) unpackFew(dst []uint16) {
	unpackBits(dst, t.raw, t.bits)
	if t.predictor == predictDifference {
		undoBits(dst, t.blockSamples(), t.bits)
	}
	if t.stretch != nil {
		lookUp(dst, t.stretch)
	}
}

func (t *tiffDecoder) unpackFloats(dst []uint16, plane int) {
	raw, order, size, n := t.raw, t.order, t.bits/8, t.blockSamples()
	switch t.predictor {
	case predictFloat:
		undoFloat(t.floats, raw, n, size)
		raw, order = t.floats, binary.ByteOrder(binary.BigEndian)
	case predictDifference:
		switch size {
		case 2:
			undoHalf(raw, n, order)
		case 4:
			undo32(raw, n, order)
		default:
			undo64(raw, n, order)
		}
	}
	colours := min(t.stored, t.channels)
	if t.planar {
		colours = max(0, min(colours-plane, 1))
	}
	t.met.floats(dst, raw, order, size, n, colours)
}
