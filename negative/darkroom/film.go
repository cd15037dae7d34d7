package darkroom

import "fmt"

// Film is a printed film raster, row by row from its top, as the file that
// went to the printer holds it: 16-bit printer code values, 65535 clear.
type Film interface {
	// Size returns the pixels across and down, and 1 channel for grey or 3 for
	// red, green, blue.
	Size() (width, height, channels int)
	// ReadRow fills row, width x channels long, with the next row.
	ReadRow(row []uint16) error
}

// How a setup without a Printer takes colours: the weight of a channel's darkness.
// What blue takes away is yellow ink, which stops most of the ultraviolet. The
// weights add up to 65536, so that a neutral counts as its own darkness.
const (
	redWeight   = 13107
	greenWeight = 19661
	blueWeight  = 65536 - redWeight - greenWeight
)

// darkness returns how far a pixel lies from clear, 0 to 65535.
func darkness(pixel []uint16) uint16 {
	if len(pixel) == 1 {
		return 65535 - pixel[0]
	}
	mean := redWeight*uint64(pixel[0]) + greenWeight*uint64(pixel[1]) + blueWeight*uint64(pixel[2])
	return 65535 - uint16((mean+32768)/65536)
}

// InkOf returns the film ink, in per cent 0 to 100, that the virtual printer
// lays down for printer RGB from 0 to 1; a neutral is as far along the ramp as
// it is dark.
func InkOf(red, green, blue float64) float64 {
	mean := (redWeight*red + greenWeight*green + blueWeight*blue) / 65536
	return 100 * min(max(1-mean, 0), 1)
}

// inkPlane reads the whole film as it lies on the paper: mirrored left to right
// when mirror is set. A pixel is its darkness or, with a printer, its UV density;
// transmission tells what each lets through.
func (s *Setup) inkPlane(film Film, mirror bool) (plane []uint16, width, height int, err error) {
	width, height, channels := film.Size()
	if channels != 1 && channels != 3 {
		return nil, 0, 0, fmt.Errorf("darkroom: film raster has %d channels; grey (1) or RGB (3) expected", channels)
	}
	of := darkness
	if s.printer != nil {
		of = newPixelDensities(s.printer).of
	}
	plane = make([]uint16, width*height)
	row := make([]uint16, width*channels)
	for y := range height {
		if err := film.ReadRow(row); err != nil {
			return nil, 0, 0, fmt.Errorf("darkroom: film row %d of %d: %w", y+1, height, err)
		}
		out := plane[y*width : (y+1)*width]
		for x := range out {
			at := x
			if mirror {
				at = width - 1 - x
			}
			out[at] = of(row[x*channels : (x+1)*channels])
		}
	}
	return plane, width, height, nil
}
