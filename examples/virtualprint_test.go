package examples

import (
	"context"
	"math"
	"testing"
	"time"

	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/calibration"
	"actinic/process/measure"
)

// calibrate fits the shipped readings.
func calibrate(t *testing.T) *calibration.Calibration {
	t.Helper()
	ramp, err := measure.ReadFile("first-cyanotype/ramp.csv", nil)
	if err != nil {
		t.Fatal(err)
	}
	tablet, err := measure.ReadFile("first-cyanotype/tablet.csv", nil)
	if err != nil {
		t.Fatal(err)
	}
	e, err := calibration.Fit([]calibration.Print{{Ramp: ramp, Tablet: tablet}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c, err := e.Build(calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// wedge is a picture of all grey tones, 512 x 4 pixels.
type wedge struct{ row int }

func (w *wedge) Header() raster.Header {
	return raster.Header{Width: 512, Height: 4, Channels: 1, Bits: 16, Orientation: 1, BandRows: 1}
}

func (w *wedge) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	for _, row := range dst {
		for x := range row[:512] {
			row[x] = uint16(x * 65535 / 511)
		}
	}
	w.row += len(dst)
	return len(dst), nil
}

func (w *wedge) Restart() error { w.row = 0; return nil }
func (w *wedge) Close() error   { return nil }

func compare(t *testing.T, c *calibration.Calibration, o tone.Options) ToneError {
	t.Helper()
	k, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	light := profile.SRGB(1)
	film, err := tone.Negative(&wedge{}, light, k, o, 1)
	if err != nil {
		t.Fatal(err)
	}
	e, err := Compare(context.Background(), film, &wedge{}, light, c)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// A calibration from simulated readings with 0.5 L* of noise prints within
// 1 L* everywhere and half of that as a rule: eighty readings know more than
// one. A film that is not mirrored, or a positive, does not.
func TestVirtualPrint(t *testing.T) {
	c := calibrate(t)
	good := compare(t, c, tone.Options{})
	if !(good.Typical < 0.5 && good.Largest < 1) {
		t.Errorf("the print is off by %+v", good)
	}
	for name, o := range map[string]tone.Options{"not mirrored": {NoMirror: true}, "positive": {Positive: true}} {
		if bad := compare(t, c, o); !(bad.Typical > 10) {
			t.Errorf("%s: off by %+v only: the comparison does not look", name, bad)
		}
	}
}

func TestCompareRefusesAnotherGrid(t *testing.T) {
	c := calibrate(t)
	k, err := c.InkCurve()
	if err != nil {
		t.Fatal(err)
	}
	film, err := tone.Negative(&wedge{}, profile.SRGB(1), k, tone.Options{Edge: tone.EdgeClear, EdgeMM: 5}, 1)
	if err != nil {
		t.Fatal(err)
	}
	if e, err := Compare(context.Background(), film, &wedge{}, profile.SRGB(1), c); err == nil {
		t.Errorf("a film with an edge gave %+v", e)
	}
}

// The scenario is a cyanotype: usual exposure scale 1.0 to 1.6 by its process
// card, and enough ink.
func TestScenario(t *testing.T) {
	setup, print := Scenario()
	if s := float64(setup.ExposureScale()); s < 1 || s > 1.6 {
		t.Errorf("exposure scale %g", s)
	}
	needed := float64(-setup.White()) + float64(print.Offset)
	if ink := float64(setup.InkRange()); !(ink > needed) || math.IsNaN(needed) {
		t.Errorf("ink range %g for %g needed", ink, needed)
	}
}
