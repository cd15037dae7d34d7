package raster

import "actinic/negative/packing"

// tiffPacker makes strips of a TIFF file: samples with the less significant byte
// first, and if they are deflated, their differences from the pixel on the left.
type tiffPacker struct {
	head    Header
	deflate *packing.Packer // nil for none
	raw     []byte
	buffers stripBuffers
}

func (p *tiffPacker) Pack(rows [][]uint16) (Strip, error) {
	if err := checkStrip(p.head, rows); err != nil {
		return Strip{}, err
	}
	if p.deflate == nil {
		return Strip{Rows: len(rows), Data: p.store(p.buffers.get(), rows)}, nil
	}
	p.raw = p.store(roomFor(p.raw, p.head), rows)
	row := rowBytes(p.head)
	for at := 0; at < len(p.raw); at += row {
		packing.Difference(p.raw[at:at+row], p.head.Channels, p.head.Bits/8)
	}
	return Strip{Rows: len(rows), Data: p.deflate.AppendZlib(p.buffers.get(), p.raw)}, nil
}

// store appends the samples of rows in the depth of the file.
func (p *tiffPacker) store(dst []byte, rows [][]uint16) []byte {
	for _, row := range rows {
		row = row[:p.head.RowSamples()]
		if p.head.Bits == 8 {
			dst = appendEight(dst, row)
		} else {
			dst = appendLittle(dst, row)
		}
	}
	return dst
}
