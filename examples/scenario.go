package examples

import "actinic/negative/darkroom"

// The invented scenario: classic cyanotype on generic cotton paper under UV
// tubes, worked in the virtual darkroom. The seed is the first whose setup has a
// cyanotype's usual exposure scale and maximum density.
const scenarioSeed = 26

// The film comes from a virtual printer with light inks. The seed is one of few
// whose neutral ramp rises everywhere and, with this densest colour, reaches the
// needed range with little to spare, in coarse steps; other colours are denser.
const (
	printerSeed    = 681
	printerDensest = 2.22 // UV density of its densest colour
)

// longer is the log exposure over the setup's own: black is sure to be reached.
const longer = 0.12

// Scenario returns the virtual darkroom that the readings come from, and how
// its prints were exposed. Its ink ramp is the printer's neutral one.
func Scenario() (*darkroom.Setup, darkroom.Print) {
	printer := darkroom.NewPrinter(printerSeed, darkroom.PrinterOptions{Densest: printerDensest, LightInks: true})
	setup := darkroom.NewSetup(scenarioSeed, darkroom.SoftCorners, darkroom.Warped).With(printer)
	return setup, darkroom.Print{Offset: longer}
}

// Sheet is one sheet of paper that was coated and printed in the scenario.
type Sheet int

// The sheets. Each was coated anew, and prints differ as honest ones do.
const (
	FirstSheet Sheet = iota // as the scenario has it
	SecondSheet
	ColoursSheet
)

// print is how the sheet was exposed and how its coating turned out: within the
// usual scatter of prints coated by hand (black 0.03 to 0.06, contrast a few per
// cent: common practice, no source).
func (s Sheet) print() darkroom.Print {
	switch s {
	case SecondSheet:
		return darkroom.Print{Offset: longer + 0.015, Contrast: 0.01, PaperShift: 0.005, MaximumShift: -0.03}
	case ColoursSheet:
		return darkroom.Print{Offset: longer - 0.01, Contrast: -0.01, MaximumShift: 0.02}
	default:
		return darkroom.Print{Offset: longer}
	}
}

// seed is that of what happened to the sheet by chance.
func (s Sheet) seed() uint64 { return scenarioSeed + 1000*uint64(s) }
