package raster

import (
	"hash/crc32"

	"actinic/negative/packing"
)

// pngPacker makes strips of a PNG file: each the IDAT chunk of its rows, which
// look at none above the strip.
type pngPacker struct {
	head    Header
	deflate *packing.Packer
	raw     []byte
	buffers stripBuffers
}

func (p *pngPacker) Pack(rows [][]uint16) (Strip, error) {
	if err := checkStrip(p.head, rows); err != nil {
		return Strip{}, err
	}
	p.raw = roomFor(p.raw, p.head)
	for _, row := range rows {
		row = row[:p.head.RowSamples()]
		if p.head.Bits == 8 {
			p.raw = appendEight(p.raw, row)
		} else {
			p.raw = appendBig(p.raw, row)
		}
	}
	form := packing.Form{RowBytes: rowBytes(p.head), PixelBytes: p.head.Channels * p.head.Bits / 8}
	data, piece := p.deflate.AppendRows(append(p.buffers.get(), "\x00\x00\x00\x00IDAT"...), p.raw, form)
	return Strip{Rows: len(rows), Data: endChunk(data), piece: piece}, nil
}

// endChunk fills in the length of a chunk and appends its checksum (ISO/IEC
// 15948:2004, 5.3).
func endChunk(chunk []byte) []byte {
	big.PutUint32(chunk, uint32(len(chunk)-8))
	return big.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}
