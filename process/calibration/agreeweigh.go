package calibration

import (
	"math"
	"slices"
)

// A print is said to differ when that makes the readings more likely by this factor,
// as a logarithm, and by one for each further pair of prints (working values of ours,
// from simulated prints: honest ones are named in 2 or 3 of 100 runs).
const differsAt = 1.5

// threshold is what the logarithm of that factor must exceed.
func (a *apart) threshold() float64 { return differsAt + 2*math.Log(float64(a.prints)/2) }

// way is one way for a print to differ: in one or two respects, by so much.
type way struct {
	in []Difference
	sd []float64
}

// ways lists how a print may differ. Shapes may differ little or much; contrast
// and exposure together are what a weaker ink looks like without a tablet.
func (a *apart) ways() []way {
	w := []way{
		{[]Difference{OfPaper}, []float64{looseSD[OfPaper]}},
		{[]Difference{OfBlack}, []float64{looseSD[OfBlack]}},
		{[]Difference{OfExposure}, []float64{0.1}}, {[]Difference{OfExposure}, []float64{looseSD[OfExposure]}},
		{[]Difference{OfStrength}, []float64{0.15}},
		{[]Difference{OfContrast}, []float64{looseSD[OfContrast]}},
		{[]Difference{OfExposure, OfContrast}, []float64{looseSD[OfExposure], looseSD[OfContrast]}},
		{[]Difference{OfInk}, []float64{0.04}}, {[]Difference{OfInk}, []float64{0.15}},
	}
	if a.curves {
		w = append(w, way{[]Difference{OfCurve}, []float64{0.04}}, way{[]Difference{OfCurve}, []float64{0.15}})
	}
	return w
}

// with returns the allowances when print k differs in a way, and whether that is
// more than they allow.
func (w way) with(allow []allowance, k int) ([]allowance, bool) {
	out, more := slices.Clone(allow), false
	for i, d := range w.in {
		if w.sd[i] > out[k][d] {
			out[k][d], more = w.sd[i], true
		}
	}
	return out, more
}

// verdict is what each print differs in, and the belief about all that follows.
type verdict struct {
	differs [][]Difference
	allow   []allowance
	belief
}

// verdict finds the prints that differ. A model is linear only near where it was
// linearised: what is found where prints go their own way must show, too, where they
// are as honest prints are.
func (a *apart) verdict() verdict {
	v := a.judge()
	if v.mean == nil || !v.found() || !a.settle(a.honest(), awayRounds) {
		return v
	}
	if w := a.judge(); w.mean != nil && !w.found() {
		return w
	}
	return v
}

// found says whether any print differs.
func (v *verdict) found() bool {
	return slices.ContainsFunc(v.differs, func(d []Difference) bool { return len(d) > 0 })
}

// judge finds the prints that differ more than honest prints do, one difference
// at a time, the most telling first. Of two prints that differ it is the later
// that does.
func (a *apart) judge() verdict {
	v := verdict{differs: make([][]Difference, a.prints), allow: a.honest()}
	v.belief = a.weigh(v.allow)
	first := 0
	if a.prints == 2 {
		first = 1
	}
	for range differences * Difference(a.prints) {
		best, at, how := v, -1, way{}
		for k := first; k < a.prints; k++ {
			for _, w := range a.ways() {
				allow, more := w.with(v.allow, k)
				if !more {
					continue
				}
				if b := a.weigh(allow); b.mean != nil && b.logWeight > best.logWeight {
					best.belief, best.allow, at, how = b, allow, k, w
				}
			}
		}
		gain := best.logWeight - v.logWeight
		if at < 0 || gain < a.threshold() {
			return v
		}
		for _, d := range how.in {
			if !slices.Contains(best.differs[at], d) {
				best.differs[at] = append(slices.Clone(best.differs[at]), d)
			}
		}
		v = best
	}
	return v
}
