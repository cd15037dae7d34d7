package raster

import "fmt"

// maxAcross bounds the tiles side by side, of all planes: each takes memory of its
// own (see blockBytes).
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
	want := uint64(f.blocks())
	if f.offsets, err = d.firstUints(offsets, want); err != nil {
		return err
	}
	f.counts, err = d.firstUints(counts, want)
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
	f.blockWidth, f.blockHeight = f.width, int(min(rows, uint64(f.height)))
	return nil
}

// blocks returns how many blocks the picture has.
func (f *tiffForm) blocks() int { return f.across() * f.down() * f.planes() }

// checkBlocks holds number, place and length of the blocks against picture and
// file.
func (f *tiffForm) checkBlocks(d *ifd) error {
	if n := f.across() * f.planes(); n > maxAcross {
		return unread(tagTileWidth, f.blockWidth, fmt.Sprintf("%d tiles side by side", n), "save the picture in strips, or in larger tiles")
	}
	want := f.blocks()
	if len(f.offsets) < want {
		return broken("TIFF", tagName(tagStripOffsets), "names %d blocks of data, the picture has %d", len(f.offsets), want)
	}
	if len(f.counts) == 0 && f.compression == compressionNone {
		f.countUncompressed(want)
	}
	if len(f.counts) < want {
		return broken("TIFF", tagName(tagStripByteCounts), "names %d blocks of data, the picture has %d", len(f.counts), want)
	}
	var packed uint64
	for i := range want {
		if err := f.checkBlock(d, i); err != nil {
			return err
		}
		packed += f.counts[i]
	}
	return f.checkWhole(int64(min(packed, uint64(d.size))))
}

func (f *tiffForm) checkBlock(d *ifd, i int) error {
	size := uint64(d.size)
	if f.offsets[i] > size || f.counts[i] > size-f.offsets[i] {
		return broken("TIFF", f.blockName(i), "has %d bytes from byte %d on, but the file has %d bytes", f.counts[i], f.offsets[i], size)
	}
	if f.counts[i] == 0 {
		return broken("TIFF", f.blockName(i), "is empty")
	}
	return nil
}

// countUncompressed fills in the lengths that some old writers leave out.
func (f *tiffForm) countUncompressed(want int) {
	f.counts = make([]uint64, want)
	for i := range f.counts {
		f.counts[i] = uint64(f.rowBytes() * f.blockRows(i))
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

// checkWhole holds the bytes of all blocks against what the picture needs.
func (f *tiffForm) checkWhole(packed int64) error {
	return checkPlausible("TIFF", packed, (int64(f.width)*int64(f.samples)*int64(f.bits)+7)/8*int64(f.height), f.ratio())
}

// checkUnpacked holds the bytes of block i against the memory that it takes when
// it is held whole.
func (f *tiffForm) checkUnpacked(i int) error {
	return checkPlausible("TIFF", int64(f.counts[i]), int64(f.rowBytes())*int64(f.blockRows(i)), f.ratio())
}

// ratio is the most that the compression can save.
func (f *tiffForm) ratio() int64 {
	switch f.compression {
	case compressionNone:
		return 1
	case compressionLZW:
		return lzwRatio
	case compressionPackBits:
		return packBitsRatio
	case compressionJPEG:
		return jpegRatio
	}
	return deflateRatio
}
