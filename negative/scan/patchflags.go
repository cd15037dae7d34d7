package scan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// When a reading is not to be trusted: working values of ours.
const (
	leastPixels   = 60   // fewer say nothing of mottle
	leastInside   = 0.98 // share of an area that the scan must hold
	mostClipped   = 0.02 // share of its pixels
	mostRejected  = 0.15 // share without weight: dust takes a hundredth or so
	mostUnlike    = 4.0  // spread against areas of like tone
	leastUnlike   = 1.5  // L*: spreads below this are no reason
	mostSlope     = 2.0  // L* from one half of an area to the other
	slopeAgainst  = 6.0  // and against areas of like tone
	beyondTheFlag = "off the scan"
)

// giveFlags says of each reading why it is not to be trusted, if so.
func giveFlags(rs []*Reading, tone *toneTable) {
	seen := slices.Clone(rs)
	slices.SortStableFunc(seen, func(a, b *Reading) int { return cmp.Compare(a.Lstar, b.Lstar) })
	for i, r := range seen {
		if r.Flag != "" {
			continue
		}
		if r.Flag = r.seen.flag(tone); r.Flag == "" {
			r.Flag = unlike(seen, i)
		}
	}
}

// flag judges an area by itself.
func (e *examined) flag(tone *toneTable) string {
	switch {
	case float64(e.inside) < float64(leastInside*e.expected)-2*math.Sqrt(e.expected): // a row each way may fall between pixels
		return beyondTheFlag
	case e.inside < leastPixels:
		return fmt.Sprintf("only %d pixels", e.inside)
	case e.rejected > mostRejected:
		return fmt.Sprintf("spots on %.0f %% of it", 100*e.rejected)
	case e.high > mostClipped:
		return "the scanner clips its white"
	case e.low > mostClipped:
		return "the scanner clips its black"
	case e.root < float64(tone.low) || e.root > float64(tone.high):
		return "outside the grey scale"
	}
	return ""
}

// unlike judges an area against others of like tone.
func unlike(seen []*Reading, i int) string {
	r := seen[i]
	if s := r.seen.slope(); s > mostSlope {
		usual := medianOf(seen, i, neighbourhood, func(n *Reading) float64 { return n.seen.slope() })
		if s > slopeAgainst*usual {
			return fmt.Sprintf("its halves differ by %.1f L*", s)
		}
	}
	usual := medianOf(seen, i, neighbourhood, func(n *Reading) float64 { return n.Spread })
	if r.Spread > leastUnlike && r.Spread > mostUnlike*usual {
		return fmt.Sprintf("uneven: spread %.1f L*, usual here %.1f", r.Spread, usual)
	}
	return ""
}

// slope is what the halves of an area differ by in L*, the way they differ most.
func (e *examined) slope() float64 {
	p, _ := e.plane()
	return math.Hypot(p.across, p.down) / 2
}
