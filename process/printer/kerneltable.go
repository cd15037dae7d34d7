package printer

import (
	"math"
	"slices"
)

// kernelTable gives the covariances of one place with many. Few values come
// again and again in their coordinates, so that it takes few exponentials.
type kernelTable struct {
	kernel kernel
	places []place
	values [coordinates][]float64 // the different values of each coordinate
	at     [coordinates][]int32   // which one each place has
}

// newKernelTable takes the many places.
func newKernelTable(k kernel, places []place) *kernelTable {
	t := &kernelTable{kernel: k, places: places}
	for i := range t.values {
		for j := range places {
			t.values[i] = append(t.values[i], places[j].at[i])
		}
		all := t.values[i]
		t.values[i] = slices.Compact(slices.Sorted(slices.Values(all)))
		t.at[i] = make([]int32, len(places))
		for j, v := range all {
			k, _ := slices.BinarySearch(t.values[i], v)
			t.at[i][j] = int32(k)
		}
	}
	return t
}

// threeParts is what one coordinate contributes to the three parts of a kernel.
type threeParts struct{ each, smooth, rough float64 }

// fill writes the covariance of p with each place into dst, nuggets left out: as
// kernel.between.
func (t *kernelTable) fill(p *place, dst []float64) {
	var one [coordinates][]threeParts
	k := &t.kernel
	for i, values := range t.values {
		one[i] = make([]threeParts, len(values))
		for j, v := range values {
			d, q := math.Abs(p.at[i]-v), &one[i][j]
			q.each, _ = matern32(d, k.each.length)
			q.smooth, _ = gaussian(d, k.smooth.length)
			q.rough, _ = matern32(d, k.rough.length)
		}
	}
	each := k.each.sd * k.each.sd / coordinates
	smooth, rough := k.smooth.sd*k.smooth.sd, k.rough.sd*k.rough.sd
	for j := range dst {
		a, b, c, d := &one[0][t.at[0][j]], &one[1][t.at[1][j]], &one[2][t.at[2][j]], &one[3][t.at[3][j]]
		v := float64(each*(a.each+b.each+c.each+d.each)) +
			float64(smooth*a.smooth*b.smooth*c.smooth*d.smooth) +
			float64(rough*a.rough*b.rough*c.rough*d.rough)
		q := &t.places[j]
		dst[j] = p.reach * q.reach * v
		if p.beyond > 0 && q.beyond > 0 {
			dst[j] += further.between(p, q)
		}
	}
}
