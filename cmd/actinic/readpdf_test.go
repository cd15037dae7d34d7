package main

import (
	"context"
	"math"
	"testing"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/testdata/outside"
)

// TestReadFindsWhatPopplerDrew: the PDF of a chart, drawn by poppler and turned
// into a print by ImageMagick (mirrored, light for dark, a few degrees askew),
// reads back every patch. sRGB codes become L* by IEC 61966-2-1:1999 and CIE
// 15:2004, written out here.
func TestReadFindsWhatPopplerDrew(t *testing.T) {
	c, stem := chartFiles(t, "ramp", "--film", "A5", "--levels", "21")
	outside.Run(t, "pdftocairo", "poppler-utils", "-png", "-singlefile", "-r", "300", stem+".pdf", stem+"-page")
	outside.Run(t, "convert", "imagemagick", stem+"-page.png", "-flop", "-negate", "-background", "black", "-rotate", "3.5", stem+"-print.png")
	a, _, errs := newTestApp(nil)
	args := []string{"--quiet", "read", stem + "-print.png", "--chart", stem + ".chart.json", "-o", stem + ".csv"}
	if code := run(context.Background(), args, a.streams); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	got, err := measure.ReadFile(stem+".csv", nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Readings) != len(c.Pages[0].Patches) {
		t.Errorf("%d patches read of %d", len(got.Readings), len(c.Pages[0].Patches))
	}
	for _, r := range got.Readings {
		v := math.Round(255-r.Device[0]) / 255
		y := v / 12.92
		if v > 0.04045 {
			y = math.Pow((v+0.055)/1.055, 2.4)
		}
		if want := density.Reflectance(y).Lightness(); math.Abs(float64(r.Lightness()-want)) > 0.25 { // 8 bits
			t.Errorf("patch %s of printer value %g reads L* %.2f, want %.2f", r.ID, r.Device[0], r.Lightness(), want)
		}
	}
}
