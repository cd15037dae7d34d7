// Package proof makes the print to expect: a picture or a finished film taken
// through a calibration to print lightness, and shown as 8-bit sRGB in the
// process's own hue.
//
// The tones are the calibration's; the hue is an estimate and says so (see
// Hue). It refuses a film whose channels cannot come from the calibration's ink
// ramp. It writes no files: a Proof is rows, with a note for whoever writes
// them. It shows no grain, no brushwork and no unevenness.
//
// Start reading at FromPicture.
package proof
