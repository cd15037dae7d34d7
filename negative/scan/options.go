package scan

import (
	"actinic/process/tablet"
)

// Options say what the scans and the chart do not. Nil means none of it.
type Options struct {
	Linear  bool    // samples are light itself, whatever the file says
	Channel Channel // All, or one channel as if it were grey
	// Corners are the centres of the page's four corner marks in scan pixels, top
	// left, top right, bottom right, bottom left as seen on the page; nil to find
	// the marks. Only with one scan.
	Corners *[4]Point
	Scale   *GreyScale // nil takes the scan's own tone as true
	// Tablet is the step tablet that lies in the window; nil when it is not known:
	// then steps are counted, and written without densities.
	Tablet *tablet.Tablet
	// Mirrored reads a print whose page is seen mirrored.
	Mirrored bool
	Jobs     int // cores, 0 for all; the result does not depend on it
}
