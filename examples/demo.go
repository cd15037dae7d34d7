// Package examples carries the example readings inside the program, so that
// the demo needs no file beside it.
//
// They were made in the virtual darkroom and say so in their first line. The
// scenario is invented.
package examples

import _ "embed"

// Ramp is the readings of a neutral ink ramp, CSV.
//
//go:embed first-cyanotype/ramp.csv
var Ramp []byte

// Tablet is the readings of a step tablet in the same print, CSV.
//
//go:embed first-cyanotype/tablet.csv
var Tablet []byte
