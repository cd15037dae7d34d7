package scan

import (
	"fmt"
	"math"
	"slices"

	"actinic/negative/chart"
)

// Locate finds which page of c a scan shows, and how it lies in p.
//
// It fails with a *fault.Error that names the marks it missed, or the other
// chart whose code it read. A page seen from its back is no error here.
func Locate(p *Plane, c *chart.Chart) (*Located, error) {
	if err := checkPlane(p); err != nil {
		return nil, err
	}
	sizes := newPyramid(p)
	spots := sizes.findSpots()
	var layouts, failed []layout
	for _, pages := range sameMarks(c) {
		for _, q := range bestPoses(findPoses(spots, c.Pages[pages[0]].Marks)) {
			l, ok := settlePage(p, sizes, q)
			l.pages = pages
			if !ok {
				failed = append(failed, l)
				continue
			}
			if l.readCode(p, c); l.toldByCode() {
				return l.located(l.page, true), nil
			}
			layouts = append(layouts, l)
		}
	}
	if len(layouts) == 0 {
		return nil, notFound(p, c, failed)
	}
	return chooseByMarks(p, c, layouts)
}

// How many poses of one set of marks are worked out in full, and how much of the
// best one's likeness they must have: half of the marks are never there by chance.
const (
	mostTried  = 6
	leastTried = 0.5
)

// bestPoses returns the poses worth working out, of poses in falling order.
func bestPoses(poses []pose) []pose {
	n := 0
	for n < min(len(poses), mostTried) && poses[n].like >= leastTried*poses[0].like {
		n++
	}
	return poses[:n]
}

// checkPlane refuses planes that are not what they say: a caller's bug would
// index beyond them.
func checkPlane(p *Plane) error {
	if p.Width < 1 || p.Height < 1 || len(p.Root) != p.Width*p.Height {
		panic(fmt.Sprintf("scan: a plane of %d x %d holds %d pixels", p.Width, p.Height, len(p.Root)))
	}
	if min(p.Width, p.Height) < leastSide {
		return tooSmall(p)
	}
	return nil
}

// leastSide is the shorter side, in pixels, of the smallest scan that is looked
// at: a sheet of 4 x 5 inches at 50 pixels an inch, far less than is of use.
const leastSide = 200

// sameMarks returns the chart's pages in groups that have the same marks: only
// the code tells these apart.
func sameMarks(c *chart.Chart) [][]int {
	var groups [][]int
next:
	for i := range c.Pages {
		for g, group := range groups {
			if slices.Equal(c.Pages[i].Marks, c.Pages[group[0]].Marks) {
				groups[g] = append(group, i)
				continue next
			}
		}
		groups = append(groups, []int{i})
	}
	return groups
}

// located turns a layout into what the caller gets.
func (l *layout) located(page int, codeRead bool) *Located {
	found := &Located{
		Page: page, Mirrored: l.plain.mirrored(), CodeRead: codeRead, Warp: l.warp,
		ScaleX: l.plain.across(), ScaleY: l.plain.down(), AngleDegrees: l.plain.angleDegrees(),
	}
	for i, m := range l.marks {
		// A corner that only the user saw lays the page, and is not found.
		where := FoundMark{ID: m.ID, Found: l.found[i] && l.seen[i].like > 0, At: l.warp.ToPlane(m.XMM, m.YMM)}
		if l.found[i] {
			x, y := l.warp.ToPage(l.seen[i].at)
			where.At, where.ResidualMM = l.seen[i].at, math.Hypot(x-m.XMM, y-m.YMM)
		}
		found.Marks = append(found.Marks, where)
	}
	return found
}
