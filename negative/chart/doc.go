// Package chart lays out calibration negatives, draws them and keeps them in
// files: a ramp of film ink, a search for the ink colour, a window for a step
// tablet, a small check, a strip of areas to be uncovered in turn.
//
// New... makes a Chart, which says where each patch lies and what is printed
// there; Draw gives the rows of a page as they go to the printer; Encode and
// Decode keep the chart in its file. What surrounds the patches (text, rulers,
// row letters, corner ticks) follows from the chart and is not in the file, so
// that a chart read back is drawn the same.
//
// All geometry is in whole micrometres and pixels, so that the bytes are the
// same on each processor. Positions in the file are rounded to 0.001 mm and the
// drawing keeps to exactly those.
//
// The package knows nothing of fits: the levels of a ramp come from functions
// that the caller hands in. It refuses films that are too small for what is
// asked, rather than drawing smaller than a print can hold.
//
// Start reading at RampOptions and NewRamp; then plan.go.
package chart
