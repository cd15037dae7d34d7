package control

import (
	"math"
	"slices"
)

// Kinds of change.
const (
	ChangeOnce    = "once"          // one check stood out; without it no rule fires
	ChangeSudden  = "sudden"        // from one check to the next, and stayed
	ChangeSlow    = "slow"          // bit by bit
	ChangeUnclear = "not clear yet" // sudden or slow, or once: too few checks since
	ChangeBackNow = "went back"     // away for some checks, and back at the newest
)

// Working values of ours.
const (
	tellingFits    = 2.0 // difference of log likelihoods, 7 to 1, that tells a step from a slope
	fewestForShape = 3   // checks since, that a step is told from a slope by
)

// DriftChange is what became of a quantity, as far as its checks tell.
type DriftChange struct {
	Kind string `json:"kind"`
	// Since is the first check (from 1) after the change; of a slow one the first
	// on the way.
	Since int `json:"since"`
	// By is how far the quantity now lies from the centre, in its unit: the mean
	// of the checks since, or the end of the way of a slow change.
	By Value `json:"by"`
	// Standing says that the newest checks have not come back to the centre.
	Standing bool `json:"standing"`
}

// changeOf describes the alarms on a chart, nil where there are none.
// averageProbability is that which it was judged by.
func changeOf(points []DriftPoint, base Baseline, averageProbability float64) *DriftChange {
	first, last := struck(points)
	newest := len(points) - 1
	switch {
	case first < 0:
		return nil
	case first < newest && alone(points, first, averageProbability):
		return changeOnce(points, base, first)
	case last < newest:
		c := stepFit(points[:last+1], base, first).change(points, base)
		if cameBack(points[last+1:], base, c.By.Value) {
			c.Kind = ChangeBackNow
			return c
		}
	}
	c := changeSince(points, base, first)
	c.Standing = true
	return c
}

// cameBack says whether the checks after the last alarm lie nearer to the centre
// than to where it was.
func cameBack(after []DriftPoint, base Baseline, by float64) bool {
	mean := 0.0
	for _, p := range after {
		mean += (p.Value - base.Centre) / float64(len(after))
	}
	return mean/by < 0.5
}

// alone says whether one point fell out by itself and nothing would have fired
// without it: the moving average and the next moving range feel a single bad
// print for a while.
func alone(points []DriftPoint, at int, averageProbability float64) bool {
	if !slices.Contains(points[at].Fired, RuleSingle) && !slices.Contains(points[at].Fired, RuleRange) {
		return false
	}
	var others []DriftPoint
	for i, p := range points {
		if i != at {
			others = append(others, DriftPoint{Check: p.Check, Value: p.Value})
		}
	}
	judge(others, averageProbability)
	first, _ := struck(others)
	return first < 0
}

// changeSince tells a step from a slope, where the checks since do.
func changeSince(points []DriftPoint, base Baseline, alarm int) *DriftChange {
	step, slope := stepFit(points, base, alarm), slopeFit(points, base, alarm)
	better := (slope.squares - step.squares) / (2 * base.SD * base.SD)
	c := step.change(points, base)
	switch {
	case len(points)-step.from < fewestForShape && len(points)-slope.from < fewestForShape:
		c.Kind = ChangeUnclear
	case better > tellingFits:
		c.Kind = ChangeSudden
	case better < -tellingFits:
		c = slope.change(points, base)
		c.Kind = ChangeSlow
	default:
		c.Kind = ChangeUnclear
	}
	return c
}

// struck returns the first and the last point at which a rule fired, -1 for none.
func struck(points []DriftPoint) (first, last int) {
	first, last = -1, -1
	for i, p := range points {
		if len(p.Fired) == 0 {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
	}
	return first, last
}

func changeOnce(points []DriftPoint, base Baseline, i int) *DriftChange {
	return &DriftChange{Kind: ChangeOnce, Since: points[i].Check, By: Value{Value: points[i].Value - base.Centre,
		SD: base.scale() * math.Sqrt(1+1/float64(base.Count))}}
}

// driftShape is a change fitted to the points: from one of them on, by so much at the
// end.
type driftShape struct {
	from       int
	by, weight float64 // weight: the sum of squares that by rests on
	squares    float64 // left over
}

func (s driftShape) change(points []DriftPoint, base Baseline) *DriftChange {
	sd := base.scale() * math.Sqrt(1/s.weight+1/float64(base.Count))
	return &DriftChange{Since: points[s.from].Check, By: Value{Value: s.by, SD: sd}}
}

// stepFit is the best step of the points, which begins no later than the first
// alarm.
func stepFit(points []DriftPoint, base Baseline, alarm int) driftShape {
	return bestShape(points, base, alarm, func(int, int) float64 { return 1 })
}

// slopeFit is the best change that grows from check to check.
func slopeFit(points []DriftPoint, base Baseline, alarm int) driftShape {
	return bestShape(points, base, alarm, func(i, from int) float64 {
		return float64(i-from+1) / float64(len(points)-from)
	})
}

func bestShape(points []DriftPoint, base Baseline, alarm int, form func(i, from int) float64) driftShape {
	best := driftShape{squares: math.Inf(1)}
	for from := 0; from <= alarm; from++ {
		if points[from].InLimits {
			continue
		}
		if s := fitShape(points, base, from, form); s.squares < best.squares {
			best = s
		}
	}
	return best
}

func fitShape(points []DriftPoint, base Baseline, from int, form func(i, from int) float64) driftShape {
	s := driftShape{from: from}
	product := 0.0
	for i := from; i < len(points); i++ {
		f := form(i, from)
		product += f * (points[i].Value - base.Centre)
		s.weight += f * f
	}
	s.by = product / s.weight
	for i, p := range points {
		if p.InLimits {
			continue
		}
		left := p.Value - base.Centre
		if i >= from {
			left -= s.by * form(i, from)
		}
		s.squares += left * left
	}
	return s
}
