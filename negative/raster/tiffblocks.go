package raster

// maxAcross bounds the tiles in a row of tiles, each of which has a decoder
// of some 40 kB open at a time.
const maxAcross = 2048

// maxTile bounds a tile's side: a row of it is held even where the picture is
// narrower.
const maxTile = 1 << 15

// readBlocks reads where strips or tiles are (TIFF 6.0, pages 39, 66). A strip
// is a tile as wide as the picture.
func (f *tiffForm) readBlocks(d *ifd) error {
	tw, err := d.uint(tagTileWidth, 0)
	if err != nil {
		return err
	}
	th, err := d.uint(tagTileHeight, 0)
	if err != nil {
		return err
	}
	offsets, counts := uint16(tagStripOffsets), uint16(tagStripByteCounts)
	if f.tiled = tw != 0 || th != 0; f.tiled {
		if tw < 1 || th < 1 || tw > maxTile || th > maxTile {
			return broken("TIFF", tagName(tagTileWidth), "tiles of %d x %d pixels, expected 1 to %d on a side", tw, th, maxTile)
		}
		f.blockWidth, f.blockHeight = int(tw), int(th)
		if d.fields[tagTileOffsets].count > 0 { // old writers put tiles under the strips' tags
			offsets, counts = tagTileOffsets, tagTileByteCounts
		}
	} else if err := f.readStripRows(d); err != nil {
		return err
	}
	if f.offsets, err = d.uints(offsets); err != nil {
		return err
	}
	f.counts, err = d.uints(counts)
	return err
}

func (f *tiffForm) readStripRows(d *ifd) error {
	rows, err := d.uint(tagRowsPerStrip, 1<<32-1)
	if err != nil {
		return err
	}
	if rows == 0 {
		return broken("TIFF", tagName(tagRowsPerStrip), "0, expected at least 1")
	}
	f.blockWidth, f.blockHeight = f.width, int(min(rows, uint32(f.height)))
	return nil
}

// checkBlocks holds number, place and length of the blocks against picture and
// file.
func (f *tiffForm) checkBlocks(d *ifd) error {
	if f.across()*f.planes() > maxAcross {
		return unsupported("TIFF", "%d tiles in a row", f.across()*f.planes())
	}
	want := f.across() * f.down() * f.planes()
	if len(f.offsets) < want {
		return broken("TIFF", tagName(tagStripOffsets), "names %d blocks of data, the picture has %d", len(f.offsets), want)
	}
	if len(f.counts) == 0 && f.compression == compressionNone {
		f.countUncompressed(want)
	}
	if len(f.counts) < want {
		return broken("TIFF", tagName(tagStripByteCounts), "names %d blocks of data, the picture has %d", len(f.counts), want)
	}
	var packed int64
	for i := range want {
		if err := f.checkBlock(d, i); err != nil {
			return err
		}
		packed += int64(f.counts[i])
	}
	return f.checkWhole(min(packed, d.size))
}

func (f *tiffForm) checkBlock(d *ifd, i int) error {
	if end := int64(f.offsets[i]) + int64(f.counts[i]); end > d.size {
		return broken("TIFF", f.blockName(i), "ends at byte %d, but the file has %d bytes", end, d.size)
	}
	if f.counts[i] == 0 {
		return broken("TIFF", f.blockName(i), "is empty")
	}
	return nil
}

// countUncompressed fills in the lengths that some old writers leave out.
func (f *tiffForm) countUncompressed(want int) {
	row := f.blockWidth * f.blockSamples() * f.bits / 8
	f.counts = make([]uint32, want)
	for i := range f.counts {
		f.counts[i] = uint32(row * f.blockRows(i))
	}
}

// blockRows returns the rows stored in block i: the last strip may be shorter,
// tiles are always whole.
func (f *tiffForm) blockRows(i int) int {
	if f.tiled {
		return f.blockHeight
	}
	return min(f.blockHeight, f.height-i%f.down()*f.blockHeight)
}

func (f *tiffForm) checkWhole(packed int64) error {
	needed := int64(f.width) * int64(f.height) * int64(f.samples) * int64(f.bits/8)
	switch f.compression {
	case compressionNone:
		return checkPlausible("TIFF", packed, needed, 1)
	case compressionLZW:
		return checkPlausible("TIFF", packed, needed, lzwRatio)
	case compressionPackBits:
		return checkPlausible("TIFF", packed, needed, packBitsRatio)
	}
	return checkPlausible("TIFF", packed, needed, deflateRatio)
}
