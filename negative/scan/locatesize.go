package scan

import (
	"fmt"
	"math"
)

// SizeReport says how large the print is against its chart, as far as the scan's
// stated resolution can be trusted.
type SizeReport struct {
	Known  bool    // the scan states a resolution, and it can be right
	Across float64 // print width over the chart's; 0 where no resolution is stated
	Down   float64 // print height over the chart's
	// Notices are for the user and lack the name of the scan; none where the print
	// is as large as wet paper lets one expect.
	Notices []string
}

// Limits of SizeReport. Paper that is wetted and dried changes by up to 2 %
// (common practice, no source), and seldom by the same both ways.
const (
	mostPaper   = 0.02
	sameBothWay = 0.006
	leastFactor = 0.75
	mostFactor  = 1.33
)

// Size compares the print with the chart. The plane is that which l was located
// in.
func (l *Located) Size(p *Plane) SizeReport {
	if !(p.PPI > 0) || p.Reduced < 1 {
		return SizeReport{}
	}
	nominal := p.PPI / 25.4 / float64(p.Reduced)
	r := SizeReport{Known: true, Across: l.ScaleX / nominal, Down: l.ScaleY / nominal}
	mean := (r.Across + r.Down) / 2
	off := max(math.Abs(r.Across-1), math.Abs(r.Down-1))
	switch {
	case min(r.Across, r.Down) < leastFactor || max(r.Across, r.Down) > mostFactor:
		r.Known = false
		r.Notices = append(r.Notices, fmt.Sprintf("the scan says %.4g pixels an inch, but the print in it looks %.0f %% of the chart's size: the stated resolution cannot be right, so the print's size is not judged", p.PPI, 100*mean))
	case off <= mostPaper:
	case math.Abs(r.Across-r.Down) <= sameBothWay:
		r.Notices = append(r.Notices, fmt.Sprintf("the print is %.1f %% of the chart's size in both directions: page scaling in the printing program, not paper; print at 100 %%", 100*mean))
	default:
		r.Notices = append(r.Notices, fmt.Sprintf("the print is %.1f %% of the chart's width and %.1f %% of its height, more than wet paper changes (2 %%): check the printing program's page scaling and the film's feed", 100*r.Across, 100*r.Down))
	}
	return r
}
