package calibration

import (
	"slices"

	"actinic/process/measure"
)

// scanDoubt is what all readings of a scan have in common, as a standard
// uncertainty in L*: flare, the scanner's own curve, a mean over patches that is
// not quite the mean over the sheet. More patches do not average it out (a working
// value of ours: print tones from simulated scans lie 0.11 from their aim, and
// 0.05 when what they have in common is taken off).
const scanDoubt = 0.1

// scanPixels is how many pixels a patch of a scan has at least; nobody repeats a
// reading by hand so often.
const scanPixels = 100

// commonDoubt is what the print tones of an estimate have in common beyond the
// fit, in L*: that of scans, where the ramp was read from one.
func (e *Estimate) commonDoubt() float64 {
	scanned := func(r measure.Reading) bool { return r.Count >= scanPixels }
	for _, p := range e.prints {
		if p.Ramp != nil && slices.ContainsFunc(p.Ramp.Readings, scanned) {
			return scanDoubt
		}
	}
	return 0
}
