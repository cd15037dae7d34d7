package sheet

import (
	"context"
	"math"
)

// imageForm is how a picture's samples are stored.
type imageForm struct {
	width, height, channels, bits int
}

// rowBytes is the length of a row as the PDF stores it.
func (f imageForm) rowBytes() int { return f.width * f.channels * f.bits / 8 }

// pixels gives the rows of one image, samples packed as PDF wants them: 16 bits
// big-endian or 8 bits, channels interleaved (ISO 32000-1:2008, 8.9.3).
type pixels interface {
	form() imageForm
	readRow(dst []byte) error // dst is one row long
	close() error
}

// imageJob opens what a placeholder stands for.
type imageJob func(ctx context.Context) (pixels, error)

// stripPixelsPerMM makes patches real areas of pixels: some printer drivers
// would blur one pixel a patch.
const stripPixelsPerMM = 10

// stripRow is one row of patches, from left to right as seen from above.
type stripRow struct {
	f    imageForm
	side int // pixels of a patch
	fill [][3]float64
	y    int
}

// stripJob returns the image of patches in the form of the picture they belong
// to; form is known once that picture has been opened.
func stripJob(patches []Patch, patchMM float64, form *imageForm) imageJob {
	return func(context.Context) (pixels, error) {
		s := &stripRow{side: int(math.Round(patchMM * stripPixelsPerMM))}
		s.f = imageForm{s.side * len(patches), s.side, form.channels, form.bits}
		for _, p := range patches {
			s.fill = append(s.fill, p.Device)
		}
		return s, nil
	}
}

func (s *stripRow) form() imageForm { return s.f }
func (s *stripRow) close() error    { return nil }

func (s *stripRow) readRow(dst []byte) error {
	i := 0
	for x := range s.f.width {
		device := s.fill[x/s.side]
		for c := range s.f.channels {
			if s.f.bits == 16 {
				v := uint16(math.Round(device[c] * 65535))
				dst[i], dst[i+1] = byte(v>>8), byte(v)
				i += 2
				continue
			}
			dst[i] = ordered8(device[c], x, s.y)
			i++
		}
	}
	s.y++
	return nil
}

// bayer is the 4 x 4 ordered-dither matrix (Bayer 1973).
var bayer = [4][4]float64{{0, 8, 2, 10}, {12, 4, 14, 6}, {3, 11, 1, 9}, {15, 7, 13, 5}}

// ordered8 rounds a printer value to 8 bits so that an area of pixels keeps
// its mean to a sixteenth of a code: the first patches differ by less than one.
func ordered8(v float64, x, y int) byte {
	return byte(min(255, math.Floor(float64(v*255)+(bayer[y%4][x%4]+0.5)/16)))
}
