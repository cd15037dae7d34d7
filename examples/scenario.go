package examples

import "actinic/negative/darkroom"

// The invented scenario: classic cyanotype on generic cotton paper under UV
// tubes, worked in the virtual darkroom. The seed is the first whose setup has a
// cyanotype's usual exposure scale and maximum density and enough ink.
const scenarioSeed = 26

// longer is the log exposure over the setup's own: black is sure to be reached.
const longer = 0.12

// Scenario returns the virtual darkroom that the readings come from, and how
// its prints were exposed.
func Scenario() (*darkroom.Setup, darkroom.Print) {
	return darkroom.NewSetup(scenarioSeed, darkroom.SoftCorners, darkroom.Warped), darkroom.Print{Offset: longer}
}
