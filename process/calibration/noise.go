package calibration

import (
	"math"
	"slices"
)

// groupNoise is the noise of the readings of a group. Readings that state no
// uncertainty share one. For those that do, factor stands before theirs, and
// excess, in their unit, is what they do not know of: a scan tells how well it
// knows a patch, not how the paper differs from patch to patch. Its variance adds
// to theirs (the model of Paule & Mandel, J. Res. Natl. Bur. Stand. 87 (1982)
// 377-385), so that a patch with a tiny uncertainty does not outweigh all others.
type groupNoise struct {
	stated bool
	usual  float64 // the group's median uncertainty as stated, or 1
	factor float64
	excess float64
	least  float64 // of factor
}

// of is the standard deviation of a reading whose own uncertainty is scale.
func (g groupNoise) of(scale float64) float64 { return math.Hypot(g.factor*scale, g.excess) }

// noise is that of each group of readings.
type noise []groupNoise

func (s noise) of(o *observation) float64 { return s[o.group].of(o.scale) }

// leastNoise is the least noise that is believed, as a share of the usual: it
// keeps faultless readings from being taken for infinitely good ones, which no
// arithmetic stands.
const leastNoise = 0.01

// usualNoise is the first guess of a group's noise. Stated uncertainties begin
// with the usual excess, so that no honest reading is an outlier at first.
func usualNoise(key groupKey) groupNoise {
	usual := firstNoise[key.unit]
	if key.stated {
		return groupNoise{stated: true, usual: 1, factor: 1, excess: usual, least: leastNoise}
	}
	return groupNoise{usual: 1, factor: usual, least: leastNoise * usual}
}

// setUsual gives each group the median of its readings' own uncertainties.
func (s noise) setUsual(obs []observation) {
	for g := range s {
		var scales []float64
		for _, o := range obs {
			if o.group == g {
				scales = append(scales, o.scale)
			}
		}
		slices.Sort(scales)
		s[g].usual = scales[len(scales)/2]
	}
}

// hasSettled says whether the noise is about what it was before.
func (f *fitted) hasSettled(before noise) bool {
	for g, s := range f.noise {
		if math.Abs(s.of(s.usual)/before[g].of(s.usual)-1) > settled {
			return false
		}
	}
	return true
}

// estimateNoise takes the noise of each group from the residuals, weighted. The
// degrees of freedom that the fit used are shared by the groups' sizes.
func (f *fitted) estimateNoise() {
	n := float64(len(f.obs))
	for g := range f.noise {
		var rs residuals
		count := 0.0
		for i, o := range f.obs {
			if o.group == g {
				rs = append(rs, weighted{f.weights[i], f.residual[i], o.scale})
				count += f.weights[i]
			}
		}
		f.noise[g].estimate(rs, count*math.Max(0.3, 1-f.dof/n))
	}
}

// weighted is a residual with its weight and the reading's own uncertainty.
type weighted struct{ weight, residual, scale float64 }

type residuals []weighted

// squares is the sum of squares of the residuals in terms of a noise.
func (rs residuals) squares(s groupNoise) float64 {
	sum := 0.0
	for _, r := range rs {
		sum += r.weight * math.Pow(r.residual/s.of(r.scale), 2)
	}
	return sum
}

// estimate finds the noise at which the residuals' squares are as large as the
// degrees of freedom that are left. Stated uncertainties are believed and given
// an excess; where even without one they are too large, they are scaled down.
func (g *groupNoise) estimate(rs residuals, free float64) {
	plain := groupNoise{factor: 1}
	share := rs.squares(plain) / free
	g.factor, g.excess = math.Max(math.Sqrt(share), g.least), 0
	if !g.stated || share <= 1 {
		return
	}
	low, high := 0.0, math.Sqrt(rs.squares(groupNoise{excess: 1})/free)
	for range 50 {
		plain.excess = (low + high) / 2
		if rs.squares(plain) > free {
			low = plain.excess
		} else {
			high = plain.excess
		}
	}
	g.factor, g.excess = 1, (low+high)/2
}
