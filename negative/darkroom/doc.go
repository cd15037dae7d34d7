// Package darkroom is a virtual darkroom: a printer with its film, a coated
// paper and a lamp that behave as their own formulas say, so that a demo or a
// test can print a negative and read the print without chemistry.
//
// It stands for the world outside the program. It therefore shares no formula
// with the code that fits readings: the papers are a cumulative normal, a
// straight line between two soft corners, and photochemistry that masks
// itself; the inks are ramps that bend, warp or break where a printer switches
// inks, or a Printer's drops of dye in layers and clusters behind a driver with
// black, ink limit and light inks; lamps and brushes leave no quadratic surface.
// A test holds its imports to process/density, negative/raster and
// negative/chart.
//
// It refuses to be mistaken for a real paper: nothing here may be used to make
// a negative.
//
// Start with NewSetup, then RampReadings and TabletReadings for the way by
// numbers, and Expose for the way through pictures, pixel by pixel. For a sheet
// as it is on the table, in millimetres, there is a printing frame: TypicalFrame
// and Contact print a film with all that goes wrong by hand, PatchTruth says
// what the print shows, and TypicalScan and Scan lay it on a flatbed. For
// colours, PrinterFor makes a printer, Setup.With prints with it and
// ColourReadings reads its colours. The same seed gives the same setup, the same
// print and the same readings.
package darkroom
