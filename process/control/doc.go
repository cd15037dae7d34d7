// Package control holds a print against its aim (check), and many prints of one
// setup against each other over time (drift).
//
// A check compares what was read of a print with what the calibration expects,
// says by how much exposure and contrast moved, what is left when that is taken
// off, whether all of it is inside a tolerance, and what to do: nothing, another
// time, look for what changed the contrast, or a new ramp. Where the readings do
// not decide between these it says so. Without a step tablet behind the
// calibration it gives differences only.
//
// It refuses readings that are of something else than the calibration's ramp or
// strip, too few of them, and files that it did not write. Errors are
// *fault.Error.
//
// Start at Check and Judge.
package control
