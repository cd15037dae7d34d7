package scan

import (
	"cmp"
	"math"
	"slices"
)

// scannerDoubt is the least standard uncertainty of a reading in L*: what two
// scans of one print differ by on the same scanner. A working value of ours.
const scannerDoubt = 0.05

// neighbourhood is how many areas of like tone on each side say what mottle to
// expect; neighbourDOF is how many readings of the own mottle they are worth.
const (
	neighbourhood = 6
	neighbourDOF  = 20
)

// giveDoubts sets SD of all readings. Mottle is even over some millimetres, so
// the pixels of an area are not independent; what its blocks differ by is. A
// plane is removed first: unevenness is not noise of the middle of an area. The
// few blocks of one area say little, so they are pooled with areas of like tone;
// and mottle larger than a block shows in quarters of areas, over the whole page.
func giveDoubts(rs []*Reading) {
	var seen []*Reading
	own, dof := map[*Reading]float64{}, map[*Reading]float64{}
	for _, r := range rs {
		if v, n := r.seen.variance(); n > 0 {
			own[r], dof[r] = v, n
			seen = append(seen, r)
		}
	}
	slices.SortStableFunc(seen, func(a, b *Reading) int { return cmp.Compare(a.Lstar, b.Lstar) })
	pooled := make([]float64, len(seen))
	for i, r := range seen {
		near := medianOf(seen, i, neighbourhood, func(n *Reading) float64 { return own[n] })
		pooled[i] = (float64(own[r]*dof[r]) + float64(near*neighbourDOF)) / (dof[r] + neighbourDOF)
	}
	size := coarseness(seen, pooled)
	for i, r := range seen {
		r.SD = math.Sqrt(float64(pooled[i]*size) + float64(scannerDoubt*scannerDoubt))
	}
	for _, r := range rs {
		if r.SD == 0 {
			r.SD = max(scannerDoubt, r.Spread)
		}
	}
}

// Limits of coarseness, and how many areas it takes to tell: working values of
// ours.
const (
	mostCoarse    = 6.0
	leastCoarseOf = 8
	mostRatio     = 9.0 // of one area: 3 standard deviations, squared
)

// coarseness is how many times larger the variance of an area's mean is than its
// blocks say, were they independent. Quarters of an area, four blocks each, tell:
// where mottle is larger than a block they differ by more than four blocks should.
// What is larger still than a quarter is taken to go on as strongly.
func coarseness(seen []*Reading, blockwise []float64) float64 {
	sum, n := 0.0, 0
	for i, r := range seen {
		if v, ok := r.seen.quarterVariance(); ok && blockwise[i] > 0 {
			sum += min(v/blockwise[i], mostRatio)
			n++
		}
	}
	if n < leastCoarseOf {
		return 1
	}
	ratio := sum / float64(n)
	return min(max(float64(ratio*ratio), 1), mostCoarse)
}

// quarterVariance estimates the variance of an area's mean from its quarters, by
// the one contrast between them that no plane changes; false where blocks are
// missing.
func (e *examined) quarterVariance() (float64, bool) {
	contrast := 0.0
	for i, w := range e.weight {
		if w <= 0 {
			return 0, false
		}
		u, v := blockPlace(i)
		contrast += math.Copysign(e.block[i], u*v)
	}
	contrast /= float64(len(e.block))
	return contrast * contrast, true
}

// medianOf returns the median of get over the readings around i in seen, which
// is in order of tone: up to reach on each side, i itself included.
func medianOf(seen []*Reading, i, reach int, get func(*Reading) float64) float64 {
	var near []float64
	for _, n := range seen[max(0, i-reach):min(len(seen), i+reach+1)] {
		near = append(near, get(n))
	}
	return median(near)
}

// median returns the middle of values, which it sorts; 0 when there are none.
func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	n := len(values)
	return (values[(n-1)/2] + values[n/2]) / 2
}

// variance returns the variance of the mean of an area as its blocks tell it, in
// L*², and its degrees of freedom; 0 where too few blocks hold pixels.
func (e *examined) variance() (of, dof float64) {
	p, n := e.plane()
	if n < 7 {
		return 0, 0
	}
	sum := 0.0
	for i := range e.block {
		if e.weight[i] > 0 {
			d := e.block[i] - p.at(i)
			sum += float64(d * d)
		}
	}
	dof = float64(n - 3)
	return sum / dof / float64(n), dof
}

// blockPlane is a plane through the blocks of an area: L* in its middle, and
// its rise from edge to edge.
type blockPlane struct{ mean, across, down float64 }

func (p blockPlane) at(i int) float64 {
	u, v := blockPlace(i)
	return p.mean + float64(p.across*u) + float64(p.down*v)
}

// blockPlace returns where a block is, -0.5 to 0.5 each way.
func blockPlace(i int) (u, v float64) {
	return (float64(i%blocks)+0.5)/blocks - 0.5, (float64(i/blocks)+0.5)/blocks - 0.5
}

// plane fits the blocks by least squares and returns how many hold pixels. With
// blocks missing it is approximate: their places are taken as if they were even.
func (e *examined) plane() (p blockPlane, n int) {
	for i, w := range e.weight {
		if w > 0 {
			p.mean += e.block[i]
			n++
		}
	}
	if n == 0 {
		return p, 0
	}
	p.mean /= float64(n)
	var su, sv, uu, vv float64
	for i, w := range e.weight {
		if w > 0 {
			u, v := blockPlace(i)
			su += float64(u * (e.block[i] - p.mean))
			sv += float64(v * (e.block[i] - p.mean))
			uu += float64(u * u)
			vv += float64(v * v)
		}
	}
	if uu > 0 && vv > 0 {
		p.across, p.down = su/uu, sv/vv
	}
	return p, n
}
