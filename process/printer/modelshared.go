package printer

import (
	"cmp"
	"slices"
	"sort"
)

// sharedDoubt is the standard uncertainty that all readings of a like UV density
// have in common: no number of them lessens it.
type sharedDoubt struct{ uv, sd []float64 }

// sharedSpan is over how many neighbours in UV density, on each side, the shared
// doubt is evened out (a working value of ours).
const sharedSpan = 4

// newSharedDoubt reads it off the points, clear film being known; nil where no
// point has any.
func newSharedDoubt(points []Point) *sharedDoubt {
	var known []Point
	some := false
	for _, p := range points {
		if p.known() && p.UVDensity > 0 {
			known = append(known, p)
			some = some || p.Shared > 0
		}
	}
	if !some {
		return nil
	}
	slices.SortFunc(known, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.UVDensity, b.UVDensity), cmp.Compare(a.Shared, b.Shared))
	})
	d := &sharedDoubt{uv: []float64{0}, sd: []float64{0}}
	for i := range known {
		from, to := max(0, i-sharedSpan), min(len(known), i+sharedSpan+1)
		sum := 0.0
		for _, q := range known[from:to] {
			sum += q.Shared
		}
		d.uv = append(d.uv, known[i].UVDensity)
		d.sd = append(d.sd, sum/float64(to-from))
	}
	return d
}

// at returns the shared doubt at a UV density: straight between those known,
// beyond the densest in proportion.
func (d *sharedDoubt) at(uv float64) float64 {
	if d == nil || uv <= 0 {
		return 0
	}
	n := len(d.uv)
	if last := d.uv[n-1]; uv >= last {
		return d.sd[n-1] * uv / last
	}
	i := sort.SearchFloat64s(d.uv, uv)
	if d.uv[i] == uv {
		return d.sd[i]
	}
	t := (uv - d.uv[i-1]) / (d.uv[i] - d.uv[i-1])
	return d.sd[i-1] + float64(t*(d.sd[i]-d.sd[i-1]))
}
