package chart

// NewTablet returns a chart of marks and a window alone, for a step tablet
// printed by itself. It fails with *fault.Error where film or window can't be
// used.
func NewTablet(s Sheet) (*Chart, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	p, notices, err := s.plan(Tablet)
	if err != nil {
		return nil, err
	}
	c := s.newChart(Tablet)
	c.Notices = notices
	c.addPage(&s, p)
	c.Pages[0].Marks = append(c.Pages[0].Marks, p.looseMarks()...)
	c.nameCodes()
	return c, nil
}

// looseStepUM is the raster on which marks stand where there are no patches.
const looseStepUM = 5000

// looseMarks are the marks inside a field without patches.
func (p *plan) looseMarks() []Mark {
	l := &lattice{plan: p, field: p.field, cols: p.field.w / looseStepUM, rows: p.field.h / looseStepUM}
	if l.cols < 1 || l.rows < 1 {
		return nil
	}
	return l.innerMarks()
}

// CheckOptions says what a check shows.
type CheckOptions struct {
	Sheet
	// Lightness and Device are those of RampOptions. With Lightness the patches are
	// even in print tone, else in ink.
	Lightness func(inkPercent float64) float64
	Device    func(inkPercent float64) [3]float64
}

// checkPatches is how many patches a check has: a few more than the parameters
// that it tells apart (exposure, contrast, paper, black), so that a change of
// shape shows.
const checkPatches = 10

// NewCheck returns a small chart for the question whether new ink, film, lamp or
// sensitiser needs a new ramp. It fails with *fault.Error where film or window
// can't be used.
func NewCheck(o CheckOptions) (*Chart, error) {
	r := RampOptions{Sheet: o.Sheet, Levels: checkPatches, Repeats: 1, Lightness: o.Lightness, Device: o.Device, byTone: true}
	return r.build(Check, nil)
}
