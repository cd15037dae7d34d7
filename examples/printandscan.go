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

// Scan prints the film of a chart's page on a sheet in the virtual darkroom of
// the scenario, the step tablet in its window and tape on its box, and lays the
// print on the glass of a flatbed: 200 ppi, 8 bits, RGB. Lamp, coating, paper and
// scanner are as uneven as a careful beginner's; the lamp alone is the same for
// every sheet.
func Scan(ctx context.Context, film raster.Source, page chart.Page, sheet Sheet) (raster.Source, error) {
	setup, _ := Scenario()
	frame := darkroom.TypicalFrame(sheet.seed(), page.PPI)
	frame.Lamp.Seed = scenarioSeed
	frame.Print, frame.Hue, frame.Tape = sheet.print(), darkroom.Blue, page.OpaqueBox
	if page.TabletWindow != nil {
		frame.Tablet = darkroom.TypicalTablet(*page.TabletWindow, sheet.seed())
	}
	print, err := setup.Contact(filmRows{ctx, film}, frame)
	if err != nil {
		return nil, fmt.Errorf("examples: %w", err)
	}
	o := darkroom.TypicalScan(sheet.seed())
	o.PPI, o.Bits, o.AngleDegrees = scanPPI, 8, scanAngle
	return darkroom.Scan(print, o), nil
}
