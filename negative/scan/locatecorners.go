package scan

import (
	"errors"
	"fmt"
	"math"

	"actinic/negative/chart"
	"actinic/process/fault"
)

// cornerIDs are the marks of LocateCorners, in its order.
var cornerIDs = [4]string{"tl", "tr", "br", "bl"}

// cornerRoomMM is how far from its mark a user may point.
const cornerRoomMM = 4

// LocateCorners finds the page as Locate does, but looks for its corner marks
// only near where the user saw them: top left, top right, bottom right and bottom
// left as seen on the page, in plane pixels. A corner mark that is not there is
// taken to be where the user says.
func LocateCorners(p *Plane, c *chart.Chart, corners [4]Point) (*Located, error) {
	if err := checkPlane(p); err != nil {
		return nil, err
	}
	for i, at := range corners {
		if !(at.X >= 0 && at.Y >= 0 && at.X <= float64(p.Width) && at.Y <= float64(p.Height)) {
			return nil, fault.New("", "--corners", fmt.Sprintf("corner %s (%.0f, %.0f) lies outside the scan", cornerIDs[i], at.X*float64(p.Reduced), at.Y*float64(p.Reduced)), cornersHint)
		}
	}
	sizes := newPyramid(p)
	var layouts []layout
	var err error
	for _, pages := range sameMarks(c) {
		l, problem := cornerLayout(p, sizes, c.Pages[pages[0]].Marks, corners)
		if problem != nil {
			err = problem
			continue
		}
		l.pages = pages
		if l.readCode(p, c); l.toldByCode() {
			return l.located(l.page, true), nil
		}
		layouts = append(layouts, l)
	}
	if len(layouts) == 0 {
		return nil, err
	}
	found, err := chooseByMarks(p, c, layouts)
	return found, hintAtCorners(err)
}

// hintAtCorners has an error say what is wrong with the corners, if they may be.
func hintAtCorners(err error) error {
	var e *fault.Error
	if !errors.As(err, &e) || e.Hint == otherChartHint {
		return err
	}
	hinted := *e
	hinted.Hint = cornersHint
	return &hinted
}

const cornersHint = "give the centres of the four corner marks in scan pixels: top left, top right, bottom right, bottom left of the page held upright"

// cornerLayout lays a page on the corners and looks for its other marks.
func cornerLayout(p *Plane, sizes *pyramid, marks []chart.Mark, corners [4]Point) (layout, error) {
	given := map[string]Point{}
	for i, id := range cornerIDs {
		given[id] = corners[i]
	}
	var pins []pin
	for _, m := range marks {
		if at, ok := given[m.ID]; ok {
			pins = append(pins, pin{Point{m.XMM, m.YMM}, at})
		}
	}
	if len(pins) < 4 {
		return layout{}, fault.New("", "--corners", "the chart has no marks in all four corners", "leave --corners out")
	}
	to, ok := fitAffine(pins)
	if !ok || !to.near4(pins) {
		return layout{}, fault.New("", "--corners", "the four corners do not form the chart's page: a page of other proportions, or corners in another order", cornersHint)
	}
	best, fits := layout{}, false
	for _, light := range []bool{true, false} {
		l := layout{marks: marks, light: light, warp: &Warp{base: to}, plain: to}
		l.lookFromCorners(p, sizes, given)
		if l.lay() && (!fits || l.measured() > best.measured()) {
			best, fits = l, true
		}
	}
	if !fits {
		return layout{}, fault.New("", "--corners", "the four corners do not fit the marks that lie near them", cornersHint)
	}
	return best, nil
}

// near4 reports whether a map lays the corners about where the user has them.
func (a Affine) near4(pins []pin) bool {
	for _, q := range pins {
		at := a.ToPlane(q.page.X, q.page.Y)
		if math.Hypot(at.X-q.at.X, at.Y-q.at.Y) > a.scale()*cornerRoomMM {
			return false
		}
	}
	return a.plausible()
}

// lookFromCorners looks for all marks, first with the room that pointing by hand
// needs, and puts the user's corners where no mark is found.
func (l *layout) lookFromCorners(p *Plane, sizes *pyramid, given map[string]Point) {
	shape := markShape()
	for _, room := range append([]float64{cornerRoomMM}, roundsMM...) {
		l.look(p, sizes, shape, room)
		for i, m := range l.marks {
			if at, ok := given[m.ID]; ok && !l.found[i] {
				l.found[i], l.seen[i] = true, sighting{at: at}
			}
		}
		if room != roundsMM[len(roundsMM)-1] && !l.lay() {
			return
		}
	}
}

// measured returns how many marks were found by themselves.
func (l *layout) measured() int {
	n := 0
	for i, ok := range l.found {
		if ok && l.seen[i].like > 0 {
			n++
		}
	}
	return n
}
