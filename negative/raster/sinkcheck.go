package raster

import (
	"errors"
	"fmt"
)

// checkSink refuses what no sink writes, before a byte is written.
func checkSink(format string, h Header) error {
	switch {
	case h.Space != ByChannels:
		return errors.New("raster: a sink writes grey or RGB")
	case h.Channels != 1 && h.Channels != 3:
		return fmt.Errorf("raster: %d channels, a sink writes 1 or 3", h.Channels)
	case h.Bits != 8 && h.Bits != 16:
		return fmt.Errorf("raster: %d bits, a sink writes 8 or 16", h.Bits)
	case h.Width < 1 || h.Height < 1:
		return fmt.Errorf("raster: a picture of %d x %d pixels", h.Width, h.Height)
	case h.Profile != nil:
		return errors.New("raster: a sink writes no profile")
	case h.Orientation > 1:
		return fmt.Errorf("raster: orientation %d, a sink writes upright rows", h.Orientation)
	case !(h.PPIX >= 0 && h.PPIX <= maxPPI && h.PPIY >= 0 && h.PPIY <= maxPPI):
		return fmt.Errorf("raster: a resolution of %g x %g ppi", h.PPIX, h.PPIY)
	}
	return checkSize(format, uint64(h.Width), uint64(h.Height))
}

// maxPPI keeps resolutions inside the numbers of TIFF and PNG.
const maxPPI = 1e6

// checkRow refuses a row that is too short, one below the last, and one after
// Commit or Abort.
func checkRow(h Header, y, samples int, done bool) error {
	switch {
	case done:
		return errDone
	case y == h.Height:
		return fmt.Errorf("raster: more than the %d rows of the file", h.Height)
	case samples < h.RowSamples():
		return fmt.Errorf("raster: row %d has %d samples, the file takes %d", y, samples, h.RowSamples())
	}
	return nil
}

var errDone = errors.New("raster: the sink is finished")

func missing(h Header, rows int) error {
	return fmt.Errorf("raster: %d of %d rows written", rows, h.Height)
}
