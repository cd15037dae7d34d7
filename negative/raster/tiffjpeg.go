package raster

import (
	"bytes"
	"io"
)

// decodeTIFFJPEG decodes a strip or tile of JPEG data in a TIFF file (compression
// 7; TIFF Technical Note 2, 1995) into rows x width pixels of interleaved 8-bit
// samples at dst. tables is the value of the JPEGTables tag (347), or nil; ycbcr
// says whether the tags call the samples YCbCr, which become RGB; all others come
// as stored, whatever markers of other formats say.
//
// No memory is taken for a block that claims to be larger than it should. It
// fails with *FormatError or *UnsupportedError.
func decodeTIFFJPEG(tables, block []byte, ycbcr bool, width, rows, samples int, dst []byte) error {
	before, err := jpegTablesBody(tables)
	if err != nil {
		return err
	}
	if !has(block, 0, jpegStart) {
		return broken("JPEG", "", "does not begin with a JPEG marker")
	}
	block = block[len(jpegStart):]
	head := io.MultiReader(bytes.NewReader([]byte(jpegStart)), bytes.NewReader(before), bytes.NewReader(block))
	j, err := readJPEGInfo(head)
	if err != nil {
		return err
	}
	if err := j.checkBlock(int64(len(block)), width, rows, samples); err != nil {
		return err
	}
	colours := jpegStored
	if ycbcr && samples == 3 {
		colours = jpegYCC
	}
	cut := int(j.scan) - len(jpegStart) - len(before)
	if cut < 0 {
		return broken("JPEG", "JPEGTables (tag 347)", "hold a picture, expected tables")
	}
	head = io.MultiReader(bytes.NewReader([]byte(jpegStart)), bytes.NewReader(before), bytes.NewReader(block[:cut]))
	p, err := decodeJPEG(j, colours, head, bytes.NewReader(block[cut:]))
	if err != nil {
		return err
	}
	for y := range rows {
		jpegRow(dst[y*width*samples:(y+1)*width*samples], p, y)
	}
	return nil
}

const jpegStart, jpegEnd = "\xff\xd8", "\xff\xd9"

// jpegTablesBody returns the tables without the marks of start and end around
// them.
func jpegTablesBody(tables []byte) ([]byte, error) {
	if len(tables) == 0 {
		return nil, nil
	}
	if !has(tables, 0, jpegStart) {
		return nil, broken("JPEG", "JPEGTables (tag 347)", "do not begin with a JPEG marker")
	}
	return bytes.TrimSuffix(tables[len(jpegStart):], []byte(jpegEnd)), nil
}

// tallBlockPixels bounds the last strip of a picture, which some writers leave as
// tall as the others.
const tallBlockPixels = 1 << 20

func (j *jpegInfo) checkBlock(size int64, width, rows, samples int) error {
	tall := j.height > rows && j.width*j.height <= tallBlockPixels
	if j.width != width || j.height != rows && !tall {
		return broken("JPEG", "frame header", "claims %d x %d pixels, expected %d x %d", j.width, j.height, width, rows)
	}
	if j.components != samples {
		return broken("JPEG", "frame header", "has %d components, expected %d", j.components, samples)
	}
	return j.checkPlausible(size)
}
