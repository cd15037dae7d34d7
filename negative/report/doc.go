// Package report draws what a calibration knows, for people: the characteristic
// curve, the UV density of the ink, the curve from picture tone to film ink and
// the print to expect, each with its doubt and the readings behind it; and how
// printer colours rank and grade.
//
// It takes plain numbers and computes none: which figure means what is said by
// whoever fills a Figure. It refuses numbers that are not finite, because a gap
// in a plot looks like knowledge.
//
// Start with CharacteristicCurve, UVDensity, InkCurve, ExpectedPrint,
// RankedColours or Gradation to fill a Figure, and Plot to draw it as PNG or SVG.
package report
