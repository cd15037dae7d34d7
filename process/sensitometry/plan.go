package sensitometry

import (
	"fmt"
	"math"

	"actinic/process/density"
	"actinic/process/fault"
)

// The strips that a plan may have. Fewer than four cannot show a toe, a slope
// and a shoulder; more than forty cannot be covered by hand (a working value of
// ours).
const (
	LeastStrips = 4
	MostStrips  = 40
)

const stripsHint = "9 strips from a quarter of the expected exposure to four times it are a good start"

// PlanExposures returns the exposures of a test strip, the shortest first: a
// geometric series from one exposure to another, both ends included, each
// rounded to what a timer can be set to. The rounded exposures are the plan:
// what is fitted later takes them as they stand.
//
// The error is a *fault.Error unless both ends have one unit, the second is the
// longer, strips lies between LeastStrips and MostStrips, and the strips are far
// enough apart to be timed by hand.
func PlanExposures(from, to Exposure, strips int) ([]Exposure, error) {
	if err := checkPlan(from, to, strips); err != nil {
		return nil, err
	}
	step := math.Pow(to.Amount/from.Amount, 1/float64(strips-1))
	plan := make([]Exposure, strips)
	for k := range plan {
		amount := from.Amount * math.Pow(to.Amount/from.Amount, float64(k)/float64(strips-1))
		plan[k] = Exposure{settable(amount, step, from.Unit), from.Unit}
	}
	plan[0].Amount = onGrain(from.Amount, leastGrain[from.Unit])
	plan[strips-1].Amount = onGrain(to.Amount, leastGrain[to.Unit])
	return plan, checkSteps(plan)
}

func checkPlan(from, to Exposure, strips int) error {
	refuse := func(what, hint string) error { return fault.New("", "", what, hint) }
	least, known := leastGrain[from.Unit]
	switch {
	case from.Unit != to.Unit || !known:
		return refuse(fmt.Sprintf("exposures in %q and %q, expected both as times or both in lamp units", from.Unit, to.Unit), exposureHint)
	case strips < LeastStrips || strips > MostStrips:
		return refuse(fmt.Sprintf("%d strips, expected %d to %d", strips, LeastStrips, MostStrips), stripsHint)
	case !(from.Amount >= least && to.Amount <= MostExposure):
		return refuse(fmt.Sprintf("exposures from %g to %g %s, expected at least %g", from.Amount, to.Amount, from.Unit, least),
			"a shorter exposure cannot be timed by hand: dim the lamp, or move it away")
	case !(to.Amount > from.Amount):
		return refuse(fmt.Sprintf("exposures from %v to %v, expected the shorter one first", from, to), stripsHint)
	}
	return nil
}

// leastGrain is the finest that a cover is moved by: by hand and clock, to the
// second; by a lamp's own counter, to a tenth.
var leastGrain = map[string]float64{Seconds: 1, LampUnits: 0.1}

// A plan's exposure is rounded by at most 1 % of itself and a twentieth of the
// way to the next strip, so that the series stays even: the grain is twice that.
const (
	grainOfExposure = 0.02
	grainOfStep     = 0.1
)

// settable rounds an exposure of a series with the given ratio of neighbours to
// what a timer can be set to.
func settable(amount, step float64, unit string) float64 {
	grain := coarsest(amount * min(grainOfExposure, grainOfStep*(step-1)))
	return onGrain(amount, max(grain, leastGrain[unit]))
}

// onGrain rounds to a multiple of grain, halves down: a half that arithmetic on
// another processor makes a little more or less is rounded the same way.
func onGrain(amount, grain float64) float64 {
	const lean = 1e-9
	return roundTo(amount-float64(lean*amount), grain)
}

// checkSteps refuses strips so near to each other that rounding to the timer
// made their steps uneven by more than half.
func checkSteps(plan []Exposure) error {
	n := len(plan) - 1
	even := math.Log(plan[n].Amount/plan[0].Amount) / float64(n)
	for k := range n {
		if step := math.Log(plan[k+1].Amount / plan[k].Amount); !(step > even/2) {
			return fault.New("", "", fmt.Sprintf("%d strips from %v to %v are too near to each other to be timed by hand", n+1, plan[0], plan[n]),
				"take fewer strips, or ends further apart")
		}
	}
	return nil
}

// PlannedStrip is one strip of a plan and when to cover it: all strips lie open
// at the start and are covered one after another.
type PlannedStrip struct {
	Strip       int // from 1, the first to be covered
	Exposure    Exposure
	Wait        Exposure            // from the cover before, or from the start
	LogExposure density.LogExposure // against the longest exposure: 0 for the last strip
}

// PlannedStrips returns what to do for exposures that PlanExposures gave.
func PlannedStrips(plan []Exposure) []PlannedStrip {
	out := make([]PlannedStrip, len(plan))
	before, longest := 0.0, plan[len(plan)-1]
	for k, x := range plan {
		wait := math.Round((x.Amount-before)*10) / 10 // a tenth is no binary number
		out[k] = PlannedStrip{k + 1, x, Exposure{wait, x.Unit}, LogAgainst(x, longest)}
		before = x.Amount
	}
	return out
}

// LogAgainst returns the log exposure of x where reference is 0. Both have one
// unit.
func LogAgainst(x, reference Exposure) density.LogExposure {
	return density.LogExposure(math.Log10(x.Amount / reference.Amount))
}

// roughGrain is the share of an exposure by which an end of a plan may be moved
// to read well on a timer: an eighth, half of it either way.
const roughGrain = 0.125

// Settable returns the exposure rounded to a time that reads well on a timer.
func (x Exposure) Settable() Exposure {
	least := leastGrain[x.Unit]
	return Exposure{onGrain(x.Amount, max(coarsest(x.Amount*roughGrain), least)), x.Unit}
}
