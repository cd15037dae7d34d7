package control

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// UsualTolerance is how far a patch of an honest print may lie from its aim, L*:
// honest brush-coated prints differ by 1 to 3 (common practice, no source).
const UsualTolerance = 4

// How many earlier checks make a scatter, and the least tolerance that they may
// give, L*: what the eye tells apart side by side (common practice, no source).
const (
	LeastRepeats   = 3
	leastTolerance = 1
)

// worstOf is the two-sided share of one patch's scatter that a tolerance holds, so
// that the worst of a strip is inside about 95 times in 100: a strip's patches go
// together so much that they count as about four.
const worstOf = 0.9875

// tolerance is the one given, that of the user's own repeats, or the usual.
func (rq *Request) tolerance() Tolerance {
	if rq.Tolerance > 0 {
		return Tolerance{rq.Tolerance, "given"}
	}
	if len(rq.Repeats) < LeastRepeats {
		return Tolerance{UsualTolerance, "usual for hand-coated prints; your own repeats were not given"}
	}
	sd, freedom := repeatScatter(rq.Repeats)
	if freedom == 0 {
		return Tolerance{UsualTolerance, "usual for hand-coated prints; the repeats have no patches in common"}
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(len(rq.Repeats) - 1)}
	l := t.Quantile((1+worstOf)/2) * sd * math.Sqrt(1+1/float64(len(rq.Repeats)))
	return Tolerance{math.Max(leastTolerance, l), fmt.Sprintf("the scatter of %d of your own prints", len(rq.Repeats))}
}

// repeatScatter is the standard deviation of differences from print to print,
// pooled over patches, and how many differences it rests on beyond the means.
func repeatScatter(checks []*Check) (sd float64, freedom int) {
	byPatch := map[string][]float64{}
	var order []string
	for _, c := range checks {
		for _, p := range c.Patches {
			if p.Spoiled {
				continue
			}
			if byPatch[p.ID] == nil {
				order = append(order, p.ID)
			}
			byPatch[p.ID] = append(byPatch[p.ID], p.Difference)
		}
	}
	sum := 0.0
	for _, id := range order {
		ds := byPatch[id]
		mean := 0.0
		for _, d := range ds {
			mean += d / float64(len(ds))
		}
		for _, d := range ds {
			sum += (d - mean) * (d - mean)
		}
		freedom += len(ds) - 1
	}
	return math.Sqrt(sum / float64(max(1, freedom))), freedom
}
