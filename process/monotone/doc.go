// Package monotone holds curves that only rise or only fall: interpolation
// through given points (Curve), the best monotone steps through scattered ones
// (Isotonic), and a smooth monotone regression that says how sure it is
// (Regress).
//
// It refuses points that are out of order, turn back or are not finite, and it
// never extrapolates: outside its domain a curve answers with *RangeError.
//
// Start reading at New for interpolation and at Regress for readings with
// noise. Curve gives the same bits on every processor; the regressions agree
// across processors to rounding.
package monotone
