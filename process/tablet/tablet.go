// Package tablet describes step tablets: strips of film with steps of known
// transmission density, the yardstick that a contact print is measured with.
//
// A tablet is either nominal, from notation such as 21x0.15+0.05, or calibrated,
// from a file of its own measured densities. Either way each step carries the
// standard uncertainty of its density. Densities are diffuse transmission
// densities of the steps (ISO 5-2:2009 names diffuse density for contact
// printing), film base included as the maker or laboratory states them.
//
// It refuses notation that no tablet follows and files whose steps repeat or fall.
// Start at Parse and ReadCSV.
package tablet

import (
	"math"

	"actinic/process/density"
)

// Step is one step of a tablet.
type Step struct {
	Name    string // the step's number as printed on the tablet: "1", "2" ...
	Density density.Density
	SD      float64 // standard uncertainty of Density, log10 units
}

// Tablet is a step tablet, steps in the order of the strip.
type Tablet struct {
	Steps      []Step
	Calibrated bool   // densities come from a measurement of this very tablet
	Name       string // notation or file it came from, for messages
}

// Limits of a tablet: our own, wide of every tablet on sale.
const (
	MinSteps   = 2
	MaxSteps   = 200
	MaxDensity = 6.0
)

// CalibratedSD is the standard uncertainty of a calibrated step whose file does
// not state one: half of the expanded uncertainty (k = 2) of 0.006 up to density 4
// that NIST states for its step tablets (NIST SP 250-99, 2022, abstract).
const CalibratedSD = 0.003

// UncalibratedLimit returns the half width of the limits within which the true
// density of an uncalibrated step of nominal density d is taken to lie, 0.02 + 3 %
// of d.
//
// Source: our own proposal, wide enough for a calibrated 31-step tablet that was
// found up to 0.06 from nominal, and of the size of a maker's stated tolerance
// read at second hand (below 0.03 at the low steps to about 0.10 at the top).
func UncalibratedLimit(d density.Density) float64 {
	return 0.02 + float64(0.03*float64(d))
}

// UncalibratedSD returns the standard uncertainty of an uncalibrated step of
// nominal density d: its limits divided by the square root of 3, as of a quantity
// known only to lie between two limits.
//
// Source: JCGM 100:2008 (GUM), 4.3.7.
func UncalibratedSD(d density.Density) float64 {
	return UncalibratedLimit(d) / math.Sqrt(3)
}
