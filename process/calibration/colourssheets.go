package calibration

import (
	"math"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/printer"
)

// colourSheet is one sheet of coated paper: a print, or one page of it.
type colourSheet struct {
	print   int            // whose it is
	colours *measure.Table // of this page
	tablet  *measure.Table // nil on all pages but the first
	cutOut  bool
	clear   *measure.Table // its clear film, as steps of density 0; nil when there is none

	scanDoubt float64 // that all tones of its scan have in common, in their unit; else 0

	turns      bool    // the most exposed steps of its print turn back
	turnedTone float64 // L* of the readings that may lie on either side of the turn
}

// colourSheets takes prints of several pages apart, as eachSheet does. Tablets
// whose most exposed steps turn back are trimmed; then clear film, more exposed
// still, tells nothing.
func colourSheets(prints []ColourPrint, falling bool) (out []colourSheet, all []Reversal, err error) {
	for k, p := range prints {
		tablet, rev, err := trim(p.Tablet, falling)
		if err != nil {
			return nil, nil, err
		}
		if rev != nil && p.CutOut {
			return nil, nil, fault.New(p.Tablet.File, "", "the most exposed steps turn back, and the tablet lay in a cut-out: clear film, more exposed still, does not tell the film's own density",
				"print again with less exposure, or with the tablet over the film")
		}
		if rev != nil {
			all = append(all, *rev)
		}
		for i, page := range pagesOf(p.Colours) {
			s := colourSheet{print: k, colours: page, cutOut: p.CutOut, scanDoubt: scanDoubtOf(page)}
			if i == 0 {
				s.tablet = tablet
			}
			if rev == nil {
				s.clear = clearFilm(page)
			} else {
				s.turns, s.turnedTone = true, turnedTone(tablet, *rev, falling)
			}
			out = append(out, s)
		}
	}
	return out, all, nil
}

// clearFilm returns the patches that print nothing as steps of a tablet.
func clearFilm(t *measure.Table) *measure.Table {
	out := *t
	out.Kind, out.Readings = measure.Tablet, nil
	for _, r := range t.Readings {
		if r.Device == printer.Clear {
			r.Tablet, r.TabletSD = 0, math.NaN()
			out.Readings = append(out.Readings, r)
		}
	}
	if out.Readings == nil {
		return nil
	}
	return &out
}

// fitTablets fits the characteristic curve to the tablets and the clear film of
// all sheets, with unevenness as far as it is known taken out of them.
func (f *colourFit) fitTablets() error {
	m := &model{prints: len(f.sheets), falling: f.options.Falling, uneven: newSurfaces(make([]Print, len(f.sheets)), true)}
	c := &collector{m: m, groups: map[groupKey]int{}}
	e := &Estimate{prints: make([]Print, len(f.sheets)), Reversed: f.reversed}
	for k, s := range f.sheets {
		if s.tablet != nil {
			e.prints[k] = Print{Tablet: s.tablet, CutOut: s.cutOut}
			m.cutOut = m.cutOut || s.cutOut
			c.add(k, f.evened(k, s.tablet, s.cutOut), s.cutOut)
		}
	}
	for k, s := range f.sheets {
		if s.clear != nil {
			c.add(k, f.evened(k, s.clear, false), false)
		}
	}
	c.start.setUsual(m.obs)
	m.grid = formGrid(m.obs)
	m.nForm = 3 + m.grid.Knots
	var err error
	if e.fit, err = m.solve(c.start); err != nil {
		return fault.Wrap(err, f.prints[0].Tablet.File, "", "the tablet's readings make no curve: "+err.Error(), "look for swapped steps, or readings of another print")
	}
	if f.groups == nil {
		f.groups = c.groups
	}
	f.estimate = e
	return nil
}
