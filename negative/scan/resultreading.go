package scan

import "actinic/negative/chart"

// Reading is one area of the print.
type Reading struct {
	ID   string // patch or step
	Page int    // index into the chart's pages
	// XMM and YMM are the centre on the nominal page.
	XMM, YMM float64
	// Lstar is L* of the mean reflectance of the area, which is what an
	// instrument sees, without what dust, hairs and pinholes add.
	Lstar float64
	// SD is the standard uncertainty of Lstar as the tone of this much light on
	// this paper: the mottle of the print and the scanner's noise.
	SD     float64
	Spread float64 // standard deviation of the pixels in L*
	Count  int     // pixels; of scans that were averaged, of all
	Flag   string  // why not to trust it; "" if there is no reason

	patch *chart.Patch // nil for steps
	y     float64      // mean reflectance
	seen  examined
}

// IsStep reports whether the area is a step of the tablet and no patch.
func (r *Reading) IsStep() bool { return r.patch == nil }
