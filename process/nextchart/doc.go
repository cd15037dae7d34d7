// Package nextchart says what to print on a further chart: the levels of film
// ink, or the printer colours, that take most of the doubt out of the print's
// tones, and how much doubt will be left.
//
// It works on what a fit leaves open (calibration.Doubt, printer.Model) and sees
// no readings. It chooses for the mean variance of the tones that pictures need,
// in the linear approximation of the fit's belief: what a reading will show is
// not known yet, how much it will tell is. The print of a further chart differs
// from the last in paper, black, exposure and contrast; that it must tell as well,
// and the choice allows for it.
//
// It refuses calibrations that do not say where their doubt lies. It refuses no
// chart because it is not worth its film: it says so.
//
// Start at Levels and Colours; design.go chooses.
package nextchart
