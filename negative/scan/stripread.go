package scan

import (
	"fmt"
	"math"
	"strconv"

	"actinic/process/fault"
	"actinic/process/tablet"
)

// stepInner is the share of a step that is read each way.
const stepInner = 0.64

// mostCutOff is the share of a tablet's steps that may lie outside the window.
const mostCutOff = 0.25

// stripReadings is a step tablet as read: its steps from the clearest, which was
// exposed most.
type stripReadings struct {
	steps   []*Reading
	areas   []area
	notices []string
}

// readStrip reads the steps of a strip. known is the tablet, nil when it is not
// said which. It fails with *fault.Error when the strip is no such tablet.
func (r *reader) readStrip(s strip, m pageMap, known *tablet.Tablet) (*stripReadings, error) {
	out := &stripReadings{}
	count := s.steps
	if known != nil {
		count = len(known.Steps)
		if err := s.check(known); err != nil {
			return nil, err
		}
	} else {
		out.notices = append(out.notices, fmt.Sprintf(
			"%d steps of the tablet can be told from the film around it; clearer ones merge with it: give --steps to number them as the tablet does", count))
	}
	for i := max(0, count-s.room); i < count; i++ {
		a := s.area(count - 1 - i)
		reading := r.read(a, m)
		reading.ID = strconv.Itoa(i + 1)
		if known != nil {
			reading.ID = known.Steps[i].Name
		}
		out.steps = append(out.steps, &reading)
		out.areas = append(out.areas, a)
	}
	if cut := count - s.room; cut > 0 {
		out.notices = append(out.notices, fmt.Sprintf("the %d clearest steps of the tablet lie outside the window and are not read", cut))
	}
	return out, nil
}

// check holds what is seen against the tablet that the user named.
func (s *strip) check(known *tablet.Tablet) error {
	n := len(known.Steps)
	pitch := math.Abs(s.pitchMM)
	if s.sure > n {
		return fault.New("", "the step tablet", fmt.Sprintf("at least %d steps of %.1f mm are seen, expected the %d of %s", s.sure, pitch, n, known.Name), stepsHint)
	}
	if float64(n-s.room) > mostCutOff*float64(n) {
		return fault.New("", "the step tablet", fmt.Sprintf("%d steps are seen, %.1f mm each, and the window has room for %d: expected the %d of %s",
			s.steps, pitch, s.room, n, known.Name), stepsHint)
	}
	return nil
}

const stepsHint = "check --steps; without it the steps are counted in the scan, and their densities can be given later"

// area returns where step k from the dense end is read.
func (s *strip) area(k int) area {
	along, across := s.endMM+s.pitchMM*(float64(k)+0.5), (s.topMM+s.baseMM)/2
	sin, cos := math.Sincos(s.turn)
	a := area{halfWMM: stepInner * math.Abs(s.pitchMM) / 2, halfHMM: stepInner * (s.baseMM - s.topMM) / 2, turn: s.turn}
	a.xMM, a.yMM = s.frame.onPage(float64(along*cos)-float64(across*sin), float64(along*sin)+float64(across*cos))
	if s.frame.upright {
		a.turn += math.Pi / 2
	}
	return a
}
