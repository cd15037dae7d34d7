package calibration

import (
	"math"
	"slices"
)

// mend fits once more where prints disagree: without those that are of another
// ink or paper, and with the others' known differences held by no usual scatter,
// so that they are taken out whole.
func (e *Estimate) mend(o *Options) error {
	out := e.leaveOut(o.KeepPrints)
	var kept []Print
	var loose []loosened
	disagree := false
	for k, p := range e.prints {
		g := &e.Agreement[k]
		if g.LeftOut = slices.Contains(out, k); g.LeftOut {
			disagree = true
			p.Ramp = nil
			if g.dropped = p.Tablet == nil || g.differsIn(OfCurve); g.dropped {
				continue
			}
		}
		var l loosened
		for i := range l {
			l[i] = g.differsIn(Difference(i))
			disagree = disagree || l[i]
		}
		kept, loose = append(kept, p), append(loose, l)
	}
	if !disagree {
		return nil
	}
	e.prints = kept
	return e.solve(o, heldByOne(loose))
}

func (g *Agreement) differsIn(d Difference) bool { return slices.Contains(g.Differs, d) }

// foreign says whether the print is of another ink or paper than the others.
// Without a tablet a contrast far out is more likely to be the ink's.
func (g *Agreement) foreign() bool {
	return g.differsIn(OfInk) || g.differsIn(OfStrength) || g.differsIn(OfCurve) ||
		g.differsIn(OfContrast) && !g.tablet && math.Abs(g.Contrast.Value) > foreignContrast
}

// foreignContrast is a contrast that no hand-coated print of the same paper has:
// more than three times the usual scatter.
const foreignContrast = 0.10

// leaveOut lists the prints to leave out: the foreign ones, as long as a ramp
// remains.
func (e *Estimate) leaveOut(keep bool) []int {
	if keep {
		return nil
	}
	var out []int
	ramps := 0
	for k := range e.Agreement {
		if e.prints[k].Ramp != nil {
			ramps++
		}
		if e.Agreement[k].foreign() {
			out = append(out, k)
		}
	}
	for _, k := range out {
		if e.prints[k].Ramp != nil {
			ramps--
		}
	}
	if ramps < 1 {
		return nil
	}
	return out
}

// heldByOne makes sure that each deviation is held by one print at least.
func heldByOne(loose []loosened) []loosened {
	for i := range deviations {
		held := false
		for _, l := range loose {
			held = held || !l[i]
		}
		if !held {
			loose[0][i] = false
		}
	}
	return loose
}
