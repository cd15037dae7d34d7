package calibration

import (
	"strings"
	"testing"

	"actinic/process/measure"
	"actinic/process/printer"
)

// bentInks are inks with a blend, and the table of a ramp printed along a path.
func bentInks() (*Inks, func(along printer.Path, off float64) *measure.Table) {
	k := &Inks{InkColour: &ColourCode{Red: 180, Green: 180, Blue: 0}, Blend: &InksBlend{Nodes: printer.Path{
		{Percent: 0, Red: 255, Green: 255, Blue: 255}, {Percent: 40, Red: 255, Green: 195, Blue: 135}, {Percent: 100, Red: 180, Green: 180, Blue: 0}}}}
	ramp := func(along printer.Path, off float64) *measure.Table {
		t := &measure.Table{File: "ramp.csv"}
		for ink := 0.0; ink <= 100; ink += 5 {
			c := along.At(ink)
			if ink == 60 {
				c[1] += off
			}
			t.Readings = append(t.Readings, measure.Reading{ID: "p", Ink: ink, HasDevice: true, Device: c})
		}
		return t
	}
	return k, ramp
}

func TestPrintedPath(t *testing.T) {
	k, ramp := bentInks()
	blend, straight := k.Blend.Nodes, printer.Straight(k.InkColour.RGB())
	for name, c := range map[string]struct {
		along printer.Path
		off   float64
		nodes int
		fault string
	}{
		"blend":       {blend, 0, 3, ""},
		"whole codes": {blend, 0.5, 3, ""},
		"straight":    {straight, 0.5, 2, ""},
		"one off":     {blend, 1, 0, "ramp.csv: patch p: was printed as RGB"},
		"another":     {printer.Straight(printer.RGB{}), 0, 0, "at 5 % ink the inks file has 255.0, 247.5, 240.0"},
	} {
		path, err := k.PrintedPath([]*measure.Table{ramp(c.along, c.off)})
		switch {
		case c.fault == "" && (err != nil || len(path) != c.nodes):
			t.Errorf("%s: %v, %v", name, path, err)
		case c.fault != "" && (err == nil || !strings.Contains(err.Error(), c.fault)):
			t.Errorf("%s: %v, want %q", name, err, c.fault)
		}
	}
	bare := ramp(blend, 0)
	bare.Readings[3].HasDevice = false
	if _, err := k.PrintedPath([]*measure.Table{bare}); err == nil || !strings.Contains(err.Error(), "no red, green and blue") {
		t.Errorf("bare readings: %v", err)
	}
	if _, err := (&Inks{}).PrintedPath(nil); err == nil {
		t.Error("inks without an ink colour have a path")
	}
}

// Films carry the blend's code values, at its nodes and half-way between.
func TestInkCurveCarriesTheBlend(t *testing.T) {
	k, _ := bentInks()
	var curve InkCurve
	curve.setPath(k.Blend.Nodes)
	for ink, want := range map[float64][3]float64{40: {255, 195, 135}, 70: {217.5, 187.5, 67.5}, 100: {180, 180, 0}} {
		got := curve.Device(ink)
		for c := range got {
			if d := 255*got[c] - want[c]; d > 1e-9 || d < -1e-9 {
				t.Errorf("%g %%: %v, want %v", ink, got, want)
			}
		}
	}
}
