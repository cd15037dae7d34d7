// Package calibration fits everything that readings of contact prints can tell
// about a setup: the paper's characteristic curve, the UV density of an ink ramp,
// how prints differ from each other and which of them disagree, and how uneven each
// sheet is, all with their doubt. Of a fit it builds the curve from picture tone to
// film ink, and it reads and writes the calibration file.
//
// It refuses readings that make no curve: too few, without tone, running the
// wrong way, or turning back in the middle. It does not extrapolate past what was
// read, chooses no smoothness (it averages over several) and knows no images,
// flags or charts.
//
// Start at Fit (estimate.go) and Build (build.go). The model is in model.go, what
// is believed before any reading in prior.go and, for unevenness, surface.go;
// fit.go holds the rounds of a fit, average.go and marginal.go the averaging;
// agree.go weighs several prints against each other, reuse.go takes an ink over.
package calibration
