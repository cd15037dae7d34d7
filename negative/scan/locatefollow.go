package scan

import (
	"cmp"
	"math"
	"slices"

	"actinic/negative/chart"
)

// following says how well the tones seen where a page's patches should be follow
// their inks: the rank correlation, -1 to 1. Another page's, or those of this one
// laid wrongly, are near 0.
type following struct {
	rank    float64
	patches int
}

// With fewer patches their tones say nothing. What is asked of more is three
// times what chance gives, within limits: inks differ in how they stop light, so
// that colours follow how dark they are only roughly. Working values of ours.
const (
	leastFollowing = 8
	leastRank      = 0.15
	enoughRank     = 0.3
)

// asked returns the correlation that is not chance.
func (f following) asked() float64 {
	return max(leastRank, min(enoughRank, 3/math.Sqrt(float64(f.patches))))
}

// contradicts reports whether the patches are others than the page's.
func (f following) contradicts() bool {
	return f.patches >= leastFollowing && f.rank < f.asked()
}

// clearlyAbove reports whether the patches tell f from another way to see them.
func (f following) clearlyAbove(g following) bool {
	return f.patches >= leastFollowing && f.rank-g.rank > f.asked()
}

// follow compares the patches of a page with the layout.
func (l *layout) follow(p *Plane, page *chart.Page) following {
	var inks, tones []float64
	for i := range page.Patches {
		ink, ok := inkOf(&page.Patches[i])
		root, in := p.rootOfPatch(l.warp, page.Patches[i].Rect)
		if !ok || !in || ink <= 0 || ink >= 100 {
			continue // clear film and full ink lie in the corners of every chart
		}
		if !l.light {
			root = -root
		}
		inks, tones = append(inks, ink), append(tones, root)
	}
	if len(inks) < leastFollowing {
		return following{patches: len(inks)}
	}
	return following{correlation(ranks(inks), ranks(tones)), len(inks)}
}

// inkOf returns how much ink a patch takes, 0 to 100: for a colour, how far it is
// from white, which says which way it prints and no more.
func inkOf(patch *chart.Patch) (float64, bool) {
	if patch.Ink != nil {
		return *patch.Ink, true
	}
	if patch.Device == nil {
		return 0, false
	}
	d := *patch.Device
	return 100 - (d[0]+d[1]+d[2])/7.65, true
}

// rootOfPatch returns the mean root in the middle of a patch; false where it is
// not in the plane.
func (p *Plane) rootOfPatch(w *Warp, r chart.Rect) (float64, bool) {
	at := w.ToPlane(r.XMM+r.WidthMM/2, r.YMM+r.HeightMM/2)
	side := max(1, int(0.3*min(r.WidthMM, r.HeightMM)*w.base.scale()))
	x, y := at.X-float64(side)/2, at.Y-float64(side)/2
	if !(x >= 0 && y >= 0 && x+float64(side) <= float64(p.Width) && y+float64(side) <= float64(p.Height)) {
		return 0, false
	}
	return p.meanRoot(int(x), int(y), side), true
}

// ranks returns each value's place among all, equal values sharing theirs.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	place := make([]float64, len(values))
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && values[order[to]] == values[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			place[i] = float64(from+to-1) / 2
		}
		from = to
	}
	return place
}

// correlation is Pearson's; 0 where one side does not vary.
func correlation(a, b []float64) float64 {
	n := float64(len(a))
	var ma, mb, ab, aa, bb float64
	for i := range a {
		ma, mb = ma+a[i]/n, mb+b[i]/n
	}
	for i := range a {
		x, y := a[i]-ma, b[i]-mb
		ab, aa, bb = ab+float64(x*y), aa+float64(x*x), bb+float64(y*y)
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
