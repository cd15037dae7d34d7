package examples

import (
	"context"
	"fmt"

	"actinic/negative/chart"
	"actinic/negative/darkroom"
	"actinic/negative/raster"
)

const (
	scanPPI   = 200
	scanAngle = 3.4 // as laid on the glass in haste
)

// Scan prints the film of a chart's page in the virtual darkroom of the
// scenario, the step tablet in its window and tape on its box, and lays the print
// on the glass of a flatbed: 200 ppi, 8 bits, RGB. Lamp, coating, paper and
// scanner are as uneven as a careful beginner's.
func Scan(ctx context.Context, film raster.Source, page chart.Page) (raster.Source, error) {
	setup, print := Scenario()
	frame := darkroom.TypicalFrame(scenarioSeed, page.PPI)
	frame.Print, frame.Hue, frame.Tape = print, darkroom.Blue, page.OpaqueBox
	if page.TabletWindow != nil {
		frame.Tablet = darkroom.TypicalTablet(*page.TabletWindow, scenarioSeed)
	}
	sheet, err := setup.Contact(filmRows{ctx, film}, frame)
	if err != nil {
		return nil, fmt.Errorf("examples: %w", err)
	}
	o := darkroom.TypicalScan(scenarioSeed)
	o.PPI, o.Bits, o.AngleDegrees = scanPPI, 8, scanAngle
	return darkroom.Scan(sheet, o), nil
}
