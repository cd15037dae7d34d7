package calibration

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// strip is a test strip of exposures on its way to a fit.
type strip struct {
	table     *measure.Table // as read
	areas     *measure.Table // the same as readings through a tablet, what turned back left out
	falling   bool
	reference float64   // the longest exposure: log exposure 0
	exposures []float64 // that are left, the shortest first, without unexposed paper
	figures   FirstBlack
}

// unexposed is the tablet density that stands for no exposure at all: far beyond
// the toe of every process (five powers of ten; scales end at about three).
const unexposed density.Density = 5

// areaNoise is how much the areas of a strip scatter at least, in the usual noise
// of a reading: each lies elsewhere on the coating (a working value of ours).
// Fewer than a dozen readings cannot tell that by themselves.
const areaNoise = 1.1

// newStrip lays the exposures out as a tablet.
func newStrip(t *measure.Table, falling bool) *strip {
	s := &strip{table: t, falling: falling}
	for _, r := range t.Readings {
		s.reference = math.Max(s.reference, r.Exposure.Amount)
	}
	areas := *t
	areas.Kind, areas.Readings = measure.Tablet, nil
	for i, r := range t.Readings {
		// On a strip the place of an area and its exposure are one and the same:
		// nothing tells unevenness from tone.
		r.XMM, r.YMM = math.NaN(), math.NaN()
		r.SD = areaNoise * firstNoise[r.Unit]
		if own := t.Readings[i].SD; own > 0 {
			r.SD = math.Hypot(r.SD, own)
		}
		r.Tablet, r.TabletSD = unexposed, math.NaN()
		if r.Exposure.Amount > 0 {
			r.Tablet = density.Density(math.Log10(s.reference / r.Exposure.Amount))
		} else {
			s.figures.PaperRead = true
		}
		areas.Readings = append(areas.Readings, r)
	}
	s.areas = &areas
	s.setExposures()
	s.figures.Readings, s.figures.Falling = t.Name, falling
	s.figures.Strips, s.figures.Unit = len(s.exposures), t.Readings[0].Exposure.Unit
	s.figures.Shortest, s.figures.Longest = s.exposures[0], s.reference
	return s
}

// setExposures lists the exposures that are left.
func (s *strip) setExposures() {
	s.exposures = nil
	for _, r := range s.areas.Readings {
		if r.Exposure.Amount > 0 {
			s.exposures = append(s.exposures, r.Exposure.Amount)
		}
	}
	slices.Sort(s.exposures)
	s.exposures = slices.Compact(s.exposures)
}

// trim leaves out the longest exposures that turned back. On a test strip that
// may be most of it: four areas are left at least.
func (s *strip) trim() error {
	levels := levelsOf(s.areas, s.falling)
	sd := firstNoise[s.areas.Unit]
	n := turned(levels, len(levels)-sensitometry.LeastStrips+1, sd)
	// Areas scatter more than a reading: only what goes beyond twice that is a turn.
	if err := turnsElsewhere(s.table, levels[n:], 2*sd); err != nil {
		return err
	}
	if n == 0 {
		return nil
	}
	s.leaveOut(levels, n)
	return nil
}

// leaveOut drops the first n levels, names them, and takes the longest exposure
// that is left for the reference.
func (s *strip) leaveOut(levels []level, n int) {
	drop := map[int]bool{}
	rev := &StripReversal{Unit: s.areas.Unit.String()}
	for _, l := range levels[:n] {
		rev.By = math.Max(rev.By, levels[n].tone-l.tone)
		rev.From = s.table.Readings[l.index[0]].Exposure.Amount
		for _, i := range l.index {
			drop[i] = true
			rev.Patches = append(rev.Patches, s.table.Readings[i].ID)
		}
	}
	var left []measure.Reading
	for i, r := range s.areas.Readings {
		if !drop[i] {
			left = append(left, r)
		}
	}
	s.areas.Readings = left
	s.setExposures()
	rev.Longest = s.exposures[len(s.exposures)-1]
	s.figures.Reversed = rev
}

// fit fits the characteristic curve. Fit itself wants more steps than a strip has.
func (s *strip) fit() (*Estimate, error) {
	prints := []Print{{Tablet: s.areas}}
	m, start := collect(prints, &Options{Falling: s.falling})
	for g := range start {
		start[g].least = 1 // of what the readings state
	}
	fit, err := m.solveOver(stripHypotheses(m), start)
	if err != nil {
		return nil, err
	}
	return &Estimate{fit: fit, prints: prints}, nil
}

// stripHypotheses are beliefs about the paper where a few areas about its shoulder
// are all that is read. Where black begins then rests on the shape of the
// shoulder, so that papers far from the logistic count as much as others. (With the
// usual beliefs, and noise taken from so few residuals, 95 % bands held the truth
// 72 to 84 times in 100.)
func stripHypotheses(m *model) []hypothesis {
	form := precisionOf(covarianceAt(m.grid, smooth, formLength))
	var all []hypothesis
	for _, sd := range []float64{0.15, 0.35} {
		all = append(all, hypothesis{asymmetry: 1.2, form: form.scaled(sd)})
	}
	return all
}

// checkReached refuses a strip whose exposures do not reach the end, or reach it
// all.
func (s *strip) checkReached(e *Estimate) error {
	end, longest := endOf(s.falling), s.exposures[len(s.exposures)-1]
	if x := s.end(e); x.Known() {
		if s.reference*math.Pow(10, x.Value) >= s.exposures[0] {
			return nil
		}
		return s.startShorter()
	}
	for _, m := range e.Sensitometry().Missing {
		if (m.End == "paper white") == s.falling {
			return s.notReached(m, longest)
		}
	}
	if len(e.Sensitometry().Missing) > 0 {
		return s.startShorter()
	}
	return fault.New(s.table.File, "", fmt.Sprintf("no exposure that reaches %s was found", end), "read the strip again, and look for swapped areas")
}

// startShorter is the error for a strip that is at its end from the start.
func (s *strip) startShorter() error {
	shortest := sensitometry.Exposure{Amount: s.exposures[0], Unit: s.figures.Unit}
	return fault.New(s.table.File, "", fmt.Sprintf("the shortest strip, %v, is at %s already, so where it is first reached is not told", shortest, endOf(s.falling)),
		fmt.Sprintf("expose a strip from %v on", shortest.Times(1.0/8).Settable()))
}

// notReached is the error for a strip that ends too early.
func (s *strip) notReached(m *sensitometry.RangeError, longest float64) error {
	x := sensitometry.Exposure{Amount: longest, Unit: s.figures.Unit}
	short := fmt.Sprintf("about %.1f stops", float64(m.Short)/density.Stop)
	enough := x.Times(2 * math.Pow(10, float64(m.Short)))
	if m.Far || m.Short == 0 {
		short = fmt.Sprintf("at least %.1f stops", math.Max(1, float64(m.Short)/density.Stop))
		enough = x.Times(4 * math.Max(1, math.Pow(10, float64(m.Short))))
	}
	what := fmt.Sprintf("the longest strip, %v, does not reach %s: %s more are needed", x, endOf(s.falling), short)
	hint := fmt.Sprintf("expose a strip up to %v", enough.Settable())
	if r := s.figures.Reversed; r != nil {
		what += fmt.Sprintf(", and longer ones (%s) turn back", strings.Join(r.Patches, ", "))
		hint = "this paper turns back before its end: look for too thick a coating, damp, or a lamp too near, and expose again"
	}
	return fault.New(s.table.File, "", what, hint)
}

// When a further strip would tell more: the answer is less sure than half a
// stop either way.
const unsureLog = density.Stop / 2

// next returns a plan about the answer where this strip's doubt is large or the
// answer rests on its longest area alone.
func (s *strip) next(answer Value, sd float64) *NextStrip {
	last := len(s.exposures) - 1
	next := &NextStrip{Strips: 9}
	switch {
	case answer.Value > s.exposures[last-1] && s.figures.Reversed == nil:
		next.Reason = "the answer rests on the longest strip alone"
	case sd > unsureLog:
		next.Reason = "the doubt is more than half a stop"
	default:
		return nil
	}
	about := sensitometry.Exposure{Amount: answer.Value, Unit: s.figures.Unit}
	next.From, next.To = about.Times(0.25).Settable().Amount, about.Times(4).Settable().Amount
	return next
}
