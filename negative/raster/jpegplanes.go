package raster

import (
	"bufio"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"strings"
)

// jpegPlanes is a decoded picture as its file has it, before colours are
// converted: image/jpeg gives no rows. Chroma of reduced size is repeated, not
// interpolated; luminance hardly feels it.
type jpegPlanes struct {
	colours jpegColours
	grey    *image.Gray
	three   *image.YCbCr // any three components
	four    *image.CMYK  // the complements of any four
}

// plainMarkers go before the first scan, where they override what stands before:
// an APP0 segment (JFIF 1.02) keeps image/jpeg from turning three components into
// a copy in RGB, and an Adobe segment that names no transform (Technical Note 5116,
// section 18) from converting four.
const plainMarkers = "\xff\xe0\x00\x10JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00" +
	"\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00\x00"

// decodeJPEG decodes a picture whose bytes before the first scan's marker are
// head, from there on scans.
func decodeJPEG(j *jpegInfo, colours jpegColours, head, scans io.Reader) (*jpegPlanes, error) {
	counter := &scanCounter{r: scans}
	if j.progressive {
		scans = counter
	}
	in := io.MultiReader(head, strings.NewReader(plainMarkers), scans)
	m, err := jpeg.Decode(bufio.NewReaderSize(in, jpegReadBytes))
	if err != nil && j.progressive && (counter.restarts || j.restarts) {
		return nil, j.restartFault(err)
	}
	if err != nil {
		return nil, jpegFault(err)
	}
	if m.Bounds() != image.Rect(0, 0, j.width, j.height) {
		return nil, broken("JPEG", "frame header", "its size changes")
	}
	p := &jpegPlanes{colours: colours}
	switch m := m.(type) {
	case *image.Gray:
		p.grey = m
	case *image.YCbCr:
		p.three = m
	case *image.CMYK:
		p.four = m
	}
	if [5]bool{1: p.grey != nil, 3: p.three != nil, 4: p.four != nil}[j.components] {
		return p, nil
	}
	return nil, broken("JPEG", "frame header", "its components change")
}

// jpegReadBytes is how much of a file is read at a time.
const jpegReadBytes = 64 << 10

// heldBytes returns what image/jpeg takes: a byte a sample, for progressive
// pictures four more for each coefficient, and for four components a copy.
func (j *jpegInfo) heldBytes() int64 {
	most := [2]int{1, 1}
	for _, s := range j.sampling[:j.components] {
		most[0], most[1] = max(most[0], s[0]), max(most[1], s[1])
	}
	each := int64(1)
	if j.progressive {
		each = 5
	}
	var n int64
	for _, s := range j.sampling[:j.components] {
		w, h := (j.width+8*most[0]-1)/(8*most[0])*8*s[0], (j.height+8*most[1]-1)/(8*most[1])*8*s[1]
		n += int64(w) * int64(h) * each
	}
	if j.components == 4 {
		n += 4 * int64(j.width) * int64(j.height)
	}
	return n + jpegReadBytes + jpegTables
}

// jpegTables is what a decoder takes besides: Huffman tables with their look-up.
const jpegTables = 32 << 10

func jpegFault(err error) error {
	var u jpeg.UnsupportedError
	var f jpeg.FormatError
	switch {
	case errors.As(err, &u):
		return unsupported("JPEG", "%s", string(u))
	case errors.As(err, &f):
		return broken("JPEG", "picture data", "%s", string(f))
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		return broken("JPEG", "picture data", "the file ends inside the picture")
	}
	return err
}

// jpegRow writes row y of the picture: grey, RGB, or inks.
func jpegRow[T sample](dst []T, p *jpegPlanes, y int) {
	switch {
	case p.grey != nil:
		stretchRow(dst, p.grey.Pix[y*p.grey.Stride:])
	case p.three != nil:
		at, shift := p.three.COffset(0, y), chromaShift(p.three.SubsampleRatio)
		luma, cb, cr := p.three.Y[y*p.three.YStride:], p.three.Cb[at:], p.three.Cr[at:]
		if p.colours == jpegYCC {
			yccRow(dst, luma, cb, cr, shift)
		} else {
			threeRow(dst, luma, cb, cr, shift)
		}
	case p.colours == jpegYCCK:
		ycckRow(dst, p.four.Pix[y*p.four.Stride:])
	case p.colours == jpegInverted:
		stretchRow(dst, p.four.Pix[y*p.four.Stride:])
	default:
		invertRow(dst, p.four.Pix[y*p.four.Stride:])
	}
}

// chromaShift is the logarithm of the pixels that share a chroma sample along a
// row.
func chromaShift(ratio image.YCbCrSubsampleRatio) int {
	switch ratio {
	case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420:
		return 1
	case image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410:
		return 2
	}
	return 0
}
