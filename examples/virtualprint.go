package examples

import (
	"context"
	"fmt"
	"io"
	"math"

	"actinic/negative/darkroom"
	"actinic/negative/raster"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/monotone"
)

// Light turns rows of a picture's samples into linear light.
type Light interface {
	Row(dst []float32, src []uint16)
}

// ToneError is how far a print's tones lie from their aim, in L*.
type ToneError struct {
	Typical float64 `json:"typical_lstar"` // root of the mean square over all pixels
	Largest float64 `json:"largest_lstar"`
}

// Compare prints a film in the virtual darkroom of the scenario, on a faultless
// sheet, and holds every pixel of the print against the aim of the calibration
// for the picture. Film and picture must share one pixel grid.
func Compare(ctx context.Context, film, picture raster.Source, light Light, c *calibration.Calibration) (ToneError, error) {
	setup, print := Scenario()
	sheet, err := setup.Expose(filmRows{ctx, film}, darkroom.Sheet{Print: print})
	if err != nil {
		return ToneError{}, err
	}
	h := picture.Header()
	if h.Width != sheet.Width || h.Height != sheet.Height {
		return ToneError{}, fmt.Errorf("examples: a print of %d x %d pixels for a picture of %d x %d", sheet.Width, sheet.Height, h.Width, h.Height)
	}
	aim, err := monotone.New(c.Curve.Tone, c.Curve.AimLstar)
	if err != nil {
		return ToneError{}, err
	}
	return compareRows(ctx, sheet, picture, light, aim)
}

func compareRows(ctx context.Context, sheet *darkroom.Picture, picture raster.Source, light Light, aim *monotone.Curve) (ToneError, error) {
	var e ToneError
	row := raster.NewBand(picture.Header(), 1)
	y := make([]float32, sheet.Width)
	for j := range sheet.Height {
		if _, err := picture.ReadRows(ctx, row); err != nil {
			return e, err
		}
		light.Row(y, row[0])
		for i, lit := range y {
			want := aim.Held(float64(density.Reflectance(lit).Lightness()))
			off := float64(sheet.L[j*sheet.Width+i]) - want
			e.Typical += off * off
			e.Largest = max(e.Largest, math.Abs(off))
		}
	}
	e.Typical = math.Sqrt(e.Typical / float64(sheet.Width*sheet.Height))
	return e, nil
}

// filmRows shows a film's source to the darkroom.
type filmRows struct {
	ctx context.Context
	src raster.Source
}

func (f filmRows) Size() (width, height, channels int) {
	h := f.src.Header()
	return h.Width, h.Height, h.Channels
}

func (f filmRows) ReadRow(row []uint16) error {
	n, err := f.src.ReadRows(f.ctx, [][]uint16{row})
	if err == nil && n == 0 {
		err = io.ErrUnexpectedEOF
	}
	return err
}
