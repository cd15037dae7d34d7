package control

import "math"

// The rules by which a check is judged. The probabilities are those of a false
// alarm at one check of a steady setup, centre and scatter unknown: working
// values of ours, chosen so that all rules on all quantities together give one or
// two in a hundred checks, four where half the scatter is from sitting to sitting
// (TestDriftFigure). The exposure offset has the largest share of them, because it
// is what drifts and what the user can put right.
const (
	RuleSingle  = "single"         // one check outside the limits (Shewhart 1931)
	RuleRange   = "moving range"   // too far from the check before (Shewhart 1931)
	RuleAverage = "moving average" // exponentially weighted (Roberts, Technometrics 1, 1959)

	singleProbability = 0.001
	// While the limits are still being learned only five checks are judged, by
	// scatter that is hardly known: a rarer alarm would never come.
	learningProbability = 0.01
	rangeProbability    = 0.0003
)

// averageWeight is the weight of the newest check in the moving average. Lucas
// and Saccucci (Technometrics 32, 1990) give some 0.4 as the best for a shift of
// two standard deviations (from memory), which is what 0.10 is beside a scatter of
// 0.05; with 0.03, weights from 0.25 to 0.5 do nearly as well.
const averageWeight = 0.4

// DriftPoint is one check on the chart of one quantity. What does not apply is
// null.
type DriftPoint struct {
	Check int     `json:"check"` // which of the checks, from 1
	Value float64 `json:"value"`
	SD    float64 `json:"sd"` // of the reading, not of the print

	// InLimits says that the limits were taken from it.
	InLimits bool     `json:"in_limits"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`

	Average     *float64 `json:"average"`
	AverageLow  *float64 `json:"average_low"`
	AverageHigh *float64 `json:"average_high"`

	Range     *float64 `json:"moving_range"`
	RangeHigh *float64 `json:"moving_range_high"`

	Fired []string `json:"fired"` // rules; empty where none
}

// driftLimits are those of one quantity while its chart is drawn.
type driftLimits struct {
	base                         Baseline
	single, movingRange, average float64 // Student's t for the probability of each rule
	weight                       float64 // of the newest check in the moving average
}

func newDriftLimits(base Baseline, averageProbability float64) driftLimits {
	return driftLimits{
		base:        base,
		single:      studentReach(singleProbability, base.Freedom),
		movingRange: studentReach(rangeProbability, base.Freedom),
		average:     studentReach(averageProbability, base.Freedom),
		weight:      averageWeight,
	}
}

// judge fills in the chart of values in the order of time and returns what the
// limits were taken from; nil where there were too few. The first ten that do
// not themselves fall out give the limits; until there are ten, each from the
// sixth on is held against those before it.
func judge(points []DriftPoint, averageProbability float64) *Baseline {
	learned := learn(points)
	if len(learned) < leastBaseline {
		return nil
	}
	base := newBaseline(learned)
	if len(learned) == wantedBaseline {
		newDriftLimits(base, averageProbability).watch(points)
	}
	return &base
}

// learn marks the points that the limits are taken from, and returns their
// values. Until limits are complete a point is judged by the limits so far.
func learn(points []DriftPoint) []float64 {
	var values []float64
	for i := range points {
		p := &points[i]
		if len(values) == wantedBaseline {
			break
		}
		if base := learnedSoFar(values); base.MovingRange > 0 {
			l := driftLimits{base: base, single: studentReach(learningProbability, base.Freedom)}
			l.judgeSingle(p)
		}
		if len(p.Fired) == 0 {
			p.InLimits = true
			values = append(values, p.Value)
		}
	}
	return values
}

// learnedSoFar is the baseline of enough values, and empty for fewer.
func learnedSoFar(values []float64) Baseline {
	if len(values) < leastBaseline {
		return Baseline{}
	}
	return newBaseline(values)
}

// watch judges all points after those that the limits were taken from.
func (l driftLimits) watch(points []DriftPoint) {
	last := 0
	for i := range points {
		if points[i].InLimits {
			last = i
		}
	}
	average, steps := l.base.Centre, 0
	for i := last + 1; i < len(points); i++ {
		p := &points[i]
		l.judgeSingle(p)
		l.judgeRange(p, points[i-1].Value)
		steps++
		average = float64(l.weight*p.Value) + float64((1-l.weight)*average)
		l.judgeAverage(p, average, steps)
	}
}

func (l driftLimits) judgeSingle(p *DriftPoint) {
	reach := l.single * l.base.reach(1, 1)
	p.Low, p.High = some(l.base.Centre-reach), some(l.base.Centre+reach)
	if math.Abs(p.Value-l.base.Centre) > reach {
		p.Fired = append(p.Fired, RuleSingle)
	}
}

func (l driftLimits) judgeRange(p *DriftPoint, before float64) {
	moved, most := math.Abs(p.Value-before), l.movingRange*l.base.scale()*math.Sqrt2
	p.Range, p.RangeHigh = some(moved), some(most)
	if moved > most {
		p.Fired = append(p.Fired, RuleRange)
	}
}

// judgeAverage judges the moving average after so many steps from the centre. Its
// variance is Lucas and Saccucci's, with the centre's own added.
func (l driftLimits) judgeAverage(p *DriftPoint, average float64, steps int) {
	left := math.Pow(1-l.weight, float64(steps))
	variance := l.weight / (2 - l.weight) * (1 - left*left)
	reach := l.average * l.base.reach(variance, 1-left)
	p.Average, p.AverageLow, p.AverageHigh = some(average), some(l.base.Centre-reach), some(l.base.Centre+reach)
	if math.Abs(average-l.base.Centre) > reach {
		p.Fired = append(p.Fired, RuleAverage)
	}
}

func some(v float64) *float64 { return &v }
