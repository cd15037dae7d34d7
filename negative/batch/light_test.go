package batch

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"
)

// labProfile is the header of an ICC profile of a colour space, and an empty tag
// table (ICC.1:2010, 7.2 and 7.3).
func labProfile(space string) []byte {
	p := make([]byte, 132)
	p[3] = 132
	copy(p[12:], "spac"+space+"Lab ")
	copy(p[36:], "acsp")
	return p
}

// TestLuminanceOfSpaces: L* is Y by CIE 15:2004, 8.2.1.1 (L* 50 is Y 0.18419, from
// the formula); inks need a profile; a profile must be for the picture's space.
func TestLuminanceOfSpaces(t *testing.T) {
	lab := raster.Header{Channels: 1, Space: raster.Lightness}
	for _, p := range [][]byte{nil, labProfile("Lab ")} {
		lab.Profile = p
		l, err := LuminanceOf("a.tif", lab)
		if err != nil {
			t.Fatal(err)
		}
		var y [3]float32
		l.Row(y[:], []uint16{0, 32768, 65535})
		for i, want := range []float64{0, 0.184189, 1} {
			if math.Abs(float64(y[i])-want) > 2e-5 {
				t.Errorf("L* %d has luminance %g, want %g", 50*i, y[i], want)
			}
		}
	}
	for name, c := range map[string]struct {
		h    raster.Header
		says string
	}{
		"inks alone":          {raster.Header{Channels: 4, Space: raster.Inks}, "inks (CMYK)"},
		"inks, Lab profile":   {raster.Header{Channels: 4, Space: raster.Inks, Profile: labProfile("Lab ")}, "colour space \"Lab \""},
		"inks, RGB profile":   {raster.Header{Channels: 4, Space: raster.Inks, Profile: labProfile("RGB ")}, "4 channels"},
		"Lab, RGB profile":    {raster.Header{Channels: 1, Space: raster.Lightness, Profile: labProfile("RGB ")}, "L*a*b*"},
		"RGB, CMYK profile":   {raster.Header{Channels: 3, Profile: labProfile("CMYK")}, "3 channels"},
		"Lab, broken profile": {raster.Header{Channels: 1, Space: raster.Lightness, Profile: []byte("x")}, "header"},
	} {
		_, err := LuminanceOf("a.tif", c.h)
		var f *fault.Error
		if !errors.As(err, &f) || f.File != "a.tif" || f.Where == "" || f.Hint == "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q in it", name, err, c.says)
		}
	}
}
