package raster

import (
	"bufio"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
)

// jpegDecoder holds the picture that image/jpeg decodes: that package gives no
// rows. Chroma of reduced size is repeated, not interpolated; luminance hardly
// feels it.
type jpegDecoder struct {
	head    Header
	r       io.ReaderAt
	size    int64
	decoded image.Image
	row     int
}

func newJPEGDecoder(r io.ReaderAt, size int64) (decoder, error) {
	j, err := readJPEGInfo(r, size)
	if err != nil {
		return nil, err
	}
	// Every block of 8 x 8 samples takes at least one bit for its mean, so the
	// file bounds the picture before image/jpeg takes memory for it.
	if blocks := int64(j.width) * int64(j.height) / 64; size*8 < blocks {
		return nil, broken("JPEG", "size", "claims %d x %d pixels, but has only %d bytes", j.width, j.height, size)
	}
	h := Header{Width: j.width, Height: j.height, Channels: j.components, Bits: 8,
		PPIX: j.ppiX, PPIY: j.ppiY, Orientation: j.exif.orientation, Profile: j.profile, Format: "JPEG",
		Description: j.exif.description, Access: Whole, BandRows: j.height, HeldBytes: j.heldBytes()}
	if h.PPIX == 0 || h.PPIY == 0 {
		h.PPIX, h.PPIY = j.exif.ppiX, j.exif.ppiY
	}
	return &jpegDecoder{head: h, r: r, size: size}, nil
}

// heldBytes returns what image/jpeg takes: a byte a sample, and for progressive
// pictures four more for each coefficient.
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
	return n
}

func (j *jpegDecoder) header() Header { return j.head }

func (j *jpegDecoder) seekRow(y int) error {
	j.row = y
	return nil
}

func (j *jpegDecoder) readRow(dst []uint16) error {
	if j.decoded == nil {
		if err := j.decode(); err != nil {
			return err
		}
	}
	y := j.row
	j.row++
	switch m := j.decoded.(type) {
	case *image.Gray:
		expand8(dst, m.Pix[y*m.Stride:y*m.Stride+j.head.Width])
	case *image.YCbCr:
		expandYCbCr(dst, m, y)
	case *image.RGBA:
		expandRGBA(dst, m.Pix[y*m.Stride:])
	default:
		return unsupported("JPEG", "its kind of colours (%T)", m)
	}
	return nil
}

func (j *jpegDecoder) decode() error {
	m, err := jpeg.Decode(bufio.NewReader(io.NewSectionReader(j.r, 0, j.size)))
	if err != nil {
		return jpegFault(err)
	}
	if m.Bounds() != image.Rect(0, 0, j.head.Width, j.head.Height) {
		return broken("JPEG", "frame header", "its size changes")
	}
	if _, grey := m.(*image.Gray); grey != (j.head.Channels == 1) {
		return broken("JPEG", "frame header", "its components change")
	}
	j.decoded = m
	return nil
}

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

// expandYCbCr converts by the full-range matrix of JFIF 1.02.
func expandYCbCr(dst []uint16, m *image.YCbCr, y int) {
	for x := 0; x < len(dst)/3; x++ {
		l, c := m.YOffset(x, y), m.COffset(x, y)
		r, g, b := color.YCbCrToRGB(m.Y[l], m.Cb[c], m.Cr[c])
		dst[3*x], dst[3*x+1], dst[3*x+2] = uint16(r)*257, uint16(g)*257, uint16(b)*257
	}
}

func expandRGBA(dst []uint16, pix []byte) {
	for x := 0; x < len(dst)/3; x++ {
		for c := range 3 {
			dst[3*x+c] = uint16(pix[4*x+c]) * 257
		}
	}
}
