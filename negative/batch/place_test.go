package batch

import (
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

// A film from elsewhere that is stored turned comes upright (TIFF 6.0, tag 274:
// 6 is a quarter turn; the file is ImageMagick's).
func TestPlaceTurnsAStoredTurn(t *testing.T) {
	file := filepath.Join(t.TempDir(), "turned.tif")
	outside.Run(t, "convert", "imagemagick", "-size", "30x20", "gradient:", "-density", "100", "-units", "PixelsPerInch",
		"-orient", "RightTop", file)
	it, _, err := (&Placing{}).Place(file)
	if err != nil {
		t.Fatal(err)
	}
	if it.WidthMM >= it.HeightMM {
		t.Errorf("%g x %g mm, want it upright", it.WidthMM, it.HeightMM)
	}
	src, err := it.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	if h := src.Header(); h.Width != 20 || h.Height != 30 || h.Orientation != 1 {
		t.Errorf("%d x %d pixels, orientation %d; want 20 x 30 and 1", h.Width, h.Height, h.Orientation)
	}
}
