package raster

import (
	"io"
	"sync"
)

// jpegDecoder gives the rows of a picture that is decoded whole at the first row
// that any of its readers asks for.
type jpegDecoder struct {
	*jpegHeld
	row int
}

// jpegHeld is what the readers of one picture share.
type jpegHeld struct {
	head   Header
	info   *jpegInfo
	r      io.ReaderAt
	size   int64
	once   sync.Once
	planes *jpegPlanes
	err    error
}

func newJPEGDecoder(r io.ReaderAt, size int64) (decoder, error) {
	j, err := readJPEGInfo(io.NewSectionReader(r, 0, size))
	if err != nil {
		return nil, err
	}
	if err := j.checkPlausible(size); err != nil {
		return nil, err
	}
	if j.components == 4 && j.profile == nil {
		return nil, &UnsupportedError{Format: "JPEG", Feature: "CMYK colours without an embedded profile",
			Fix: "only a profile tells how light each mixture of inks is: embed it when you save the picture, or convert the picture to grey or RGB"}
	}
	h := Header{Width: j.width, Height: j.height, Channels: j.components, Bits: 8,
		PPIX: j.ppiX, PPIY: j.ppiY, Orientation: j.exif.orientation, Profile: j.profile, Format: "JPEG",
		Description: j.exif.description, Access: Whole, BandRows: 1, HeldBytes: j.heldBytes()}
	if j.components == 4 {
		h.Space, h.Notices = Inks, []string{inksNotice}
	}
	if h.PPIX == 0 || h.PPIY == 0 {
		h.PPIX, h.PPIY = j.exif.ppiX, j.exif.ppiY
	}
	return &jpegDecoder{jpegHeld: &jpegHeld{head: h, info: j, r: r, size: size}}, nil
}

// inksNotice is what users should know of a picture in inks.
const inksNotice = "This CMYK picture is taken as its inks would print: its darkest tone is theirs, which is no full black. " +
	"Where the shadows of the print come out weak, convert the picture to grey, with black point compensation, and use that."

// checkPlausible refuses a picture that so few bytes cannot hold, before memory
// is taken for it: every block of 8 x 8 samples takes at least one bit for its
// mean (T.81, F.1.2.1).
func (j *jpegInfo) checkPlausible(size int64) error {
	if blocks := int64(j.width) * int64(j.height) / 64; size*8 < blocks {
		return broken("JPEG", "size", "claims %d x %d pixels, but has only %d bytes", j.width, j.height, size)
	}
	return nil
}

func (j *jpegDecoder) header() Header { return j.head }

// fork returns another reader of the picture that is held.
func (j *jpegDecoder) fork() (decoder, error) { return &jpegDecoder{jpegHeld: j.jpegHeld}, nil }

func (j *jpegDecoder) seekRow(y int) error {
	j.row = y
	return nil
}

func (j *jpegDecoder) readRow(dst []uint16) error {
	j.once.Do(j.decode)
	if j.err != nil {
		return j.err
	}
	jpegRow(dst, j.planes, j.row)
	j.row++
	return nil
}

func (j *jpegHeld) decode() {
	j.planes, j.err = decodeJPEG(j.info, j.info.colours(), io.NewSectionReader(j.r, 0, j.info.scan), io.NewSectionReader(j.r, j.info.scan, j.size-j.info.scan))
}
