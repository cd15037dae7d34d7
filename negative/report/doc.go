// Package report draws what a calibration knows, for people: the characteristic
// curve, the UV density of the ink, the curve from picture tone to film ink and
// the print to expect, each with its doubt and the readings behind it; and how
// printer colours rank and grade.
//
// It also writes pages to read, on a screen or on paper: one HTML file with text,
// figures, tables and warnings that needs nothing else, neither network nor script.
//
// It takes plain numbers and computes none: which figure means what is said by
// whoever fills a Figure. It refuses numbers that are not finite, because a gap
// in a plot looks like knowledge.
//
// Start with CharacteristicCurve, UVDensity, InkCurve, ExpectedPrint,
// RankedColours or Gradation to fill a Figure, and Plot to draw it as PNG or SVG; WritePage
// writes a Page (page.go). The page's form is page.tmpl, its look page.css; svg*.go
// draw its figures twice, for wide and for narrow pages, coloured by the page.
package report
