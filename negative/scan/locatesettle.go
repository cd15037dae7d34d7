package scan

import (
	"math"
	"slices"

	"actinic/negative/chart"
)

// layout is a pose worked out: every mark looked for, and the page laid through
// those found.
type layout struct {
	pages []int // of the chart, that have these marks
	marks []chart.Mark
	found []bool     // by mark
	seen  []sighting // by mark; worthless where not found
	warp  *Warp      // the page
	plain Affine     // the same without its bend
	light bool
	page  int    // that the code names, -1 if none
	other string // another chart's code, if read
}

// Looking again near where a mark should be. Working values of ours, for paper
// that curls by a millimetre: the first look has only the spots to go by, the
// last the bend through all other marks.
var roundsMM = []float64{2.5, 1.6, 1.2}

const (
	leastLocalLike = 0.42 // correlation of what may be a mark where one should be
	leastWhole     = 0.40 // share of a mark that must look like one
	leastFitLike   = 0.70 // and how much
	leastSwingOf   = 0.35 // of the other marks' swing
	mostMissMM     = 0.8  // from where the others have it: a doubtful mark
	mostCurlMM     = 2.0  // a clear one, at a corner that curls by 1 mm away from the rest
	clearLike      = 0.9  // what makes a mark clear
	clearWhole     = 0.7
)

// settlePage looks for all marks of a pose and lays the page through them. It
// reports false, and what was found, when fewer than three are found, or no page of paper lies so.
func settlePage(p *Plane, sizes *pyramid, q pose) (layout, bool) {
	l := layout{marks: q.marks, light: q.light, warp: &Warp{base: q.to}, plain: q.to}
	shape := markShape()
	for _, room := range roundsMM {
		l.look(p, sizes, shape, room)
		if !l.lay() {
			return l, false
		}
	}
	return l, true
}

// look looks for every mark within so many millimetres of its place.
func (l *layout) look(p *Plane, sizes *pyramid, shape []shapeRow, roomMM float64) {
	l.found, l.seen = make([]bool, len(l.marks)), make([]sighting, len(l.marks))
	each(len(l.marks), func(i int) {
		m := l.marks[i]
		around := l.warp.Around(m.XMM, m.YMM)
		if radius := around.scale() * m.DiameterMM / 2; !(radius >= 1 && radius < float64(max(p.Width, p.Height))) {
			return
		}
		start, ok := sizes.lookFor(shape, around, m, roomMM, l.light)
		if !ok {
			return
		}
		s, ok := p.measureMark(around, m, start)
		l.seen[i] = s
		l.found[i] = ok && s.swing > 0 == l.light && s.whole >= leastWhole && s.like >= leastFitLike
	})
	l.dropFaint()
}

// lookFor returns where, near its place, a picture is most like a mark.
func (p *pyramid) lookFor(shape []shapeRow, around Affine, m chart.Mark, roomMM float64, light bool) (Point, bool) {
	g := p.nearest(around.scale() * m.DiameterMM / 2)
	if g == nil {
		return Point{}, false
	}
	at := around.ToPlane(m.XMM, m.YMM)
	room := around.scale() * roomMM / g.step
	if !(math.Abs(at.X) < 1e9 && math.Abs(at.Y) < 1e9 && room < 100) {
		return Point{}, false
	}
	cx, cy, side := int(at.X/g.step), int(at.Y/g.step), int(room+1)
	best, most := Point{}, leastLocalLike
	for y := max(reach, cy-side); y <= min(g.height-reach-1, cy+side); y++ {
		for x := max(reach, cx-side); x <= min(g.width-reach-1, cx+side); x++ {
			like := g.like(shape, x, y)
			if !light {
				like = -like
			}
			if like > most {
				best, most = Point{(float64(x) + 0.5) * g.step, (float64(y) + 0.5) * g.step}, like
			}
		}
	}
	return best, most > leastLocalLike
}

// dropFaint gives up marks that are far fainter than the others: a smudge that
// happens to be round.
func (l *layout) dropFaint() {
	var swings []float64
	for i, ok := range l.found {
		if ok {
			swings = append(swings, math.Abs(l.seen[i].swing))
		}
	}
	if len(swings) == 0 {
		return
	}
	slices.Sort(swings)
	least := max(leastSwing, leastSwingOf*swings[len(swings)/2])
	for i := range l.found {
		l.found[i] = l.found[i] && math.Abs(l.seen[i].swing) >= least
	}
}

// lay lays the page through the marks found, giving up those that the others
// contradict, the worst first.
func (l *layout) lay() bool {
	for {
		var pins []pin
		var index []int
		for i, ok := range l.found {
			if ok {
				pins = append(pins, pin{Point{l.marks[i].XMM, l.marks[i].YMM}, l.seen[i].at})
				index = append(index, i)
			}
		}
		plain, ok := fitAffine(pins)
		if !ok || !plain.plausible() || plain.mirrored() != l.plain.mirrored() {
			return false
		}
		warp, missed, ok := fitWarp(pins)
		if !ok {
			return false
		}
		l.plain, l.warp = plain, warp
		worst, most := 0, 0.0
		for i := range missed {
			if over := missed[i] / plain.scale() / l.seen[index[i]].roomMM(); over > most {
				worst, most = i, over
			}
		}
		if len(pins) <= 3 || most <= 1 {
			return true
		}
		l.found[index[worst]] = false
	}
}

// roomMM returns how far a mark may lie from where the others have it.
func (s *sighting) roomMM() float64 {
	if s.like == 0 { // a user's corner
		return cornerRoomMM
	}
	if s.like >= clearLike && s.whole >= clearWhole {
		return mostCurlMM
	}
	return mostMissMM
}

// count returns how many marks were found.
func (l *layout) count() int {
	n := 0
	for _, ok := range l.found {
		if ok {
			n++
		}
	}
	return n
}

// mostLeverage bounds how far the map may be carried beyond the marks found: a
// corner across from three others has 3.
const mostLeverage = 6

// holds reports whether the marks found hold all marks of the page in place.
func (l *layout) holds() bool {
	var pins []pin
	for i, ok := range l.found {
		if ok {
			pins = append(pins, pin{page: Point{l.marks[i].XMM, l.marks[i].YMM}})
		}
	}
	for _, m := range l.marks {
		if leverage(pins, Point{m.XMM, m.YMM}) > mostLeverage {
			return false
		}
	}
	return true
}
