package chart

import (
	"fmt"
	"strings"

	"actinic/process/fault"
)

// Bounds on what a file may hold, above all that we write.
const (
	mostMarks      = 100
	mostPagePieces = 10_000
	mostNameLength = 40
	mostExposure   = 1e9
)

// checker refuses a chart whose numbers do not hang together. The first fault
// found is kept.
type checker struct {
	name string
	err  error
}

func (k *checker) bad(where, format string, values ...any) {
	if k.err == nil {
		k.err = fault.New(k.name, where, fmt.Sprintf(format, values...), fileForm.AsWritten())
	}
}

// check returns *fault.Error for a chart that can't be used.
func (c *Chart) check(name string) error {
	k := &checker{name: name}
	switch c.Kind {
	case Ramp, Colours, Tablet, Check, Exposure:
	default:
		k.bad("field kind", "found %q, expected ramp, colours, tablet, check or exposure", c.Kind)
	}
	if (c.Kind == Exposure) != (c.ExposureUnit != "") {
		k.bad("field exposure_unit", "found %q: charts of kind exposure have one, and no others", c.ExposureUnit)
	}
	if n := len(c.Pages); n < 1 || n > mostPages {
		k.bad("field pages", "found %d, expected 1 to %d", n, mostPages)
		return k.err
	}
	if len(c.ExposureUnit) > mostNameLength {
		k.bad("field exposure_unit", "expected at most %d letters", mostNameLength)
	}
	patches, codes := map[string]bool{}, map[string]bool{}
	for i := range c.Pages {
		k.page(c, &c.Pages[i], fmt.Sprintf("pages[%d]", i), patches, codes)
	}
	if k.err != nil {
		return k.err
	}
	return nil
}

func (k *checker) page(c *Chart, p *Page, where string, patches, codes map[string]bool) {
	if !inRange(p.WidthMM, 1, mostSideMM) || !inRange(p.HeightMM, 1, mostSideMM) {
		k.bad(where+".width_mm, height_mm", "found %g x %g, expected 1 to %d", p.WidthMM, p.HeightMM, mostSideMM)
	}
	if !inRange(p.PPI, 1, 2*mostPPI) {
		k.bad(where+".ppi", "found %g, expected 1 to %d", p.PPI, 2*mostPPI)
	}
	if len(p.Code) != codeLength || strings.Trim(p.Code, codeLetters) != "" {
		k.bad(where+".code", "found %q, expected %d letters of %s", p.Code, codeLength, codeLetters)
	}
	if codes[p.Code] {
		k.bad(where+".code", "%q names another page too", p.Code)
	}
	codes[p.Code] = true
	k.marks(p, where)
	if len(p.Patches) > mostPagePieces {
		k.bad(where+".patches", "found %d, expected at most %d", len(p.Patches), mostPagePieces)
		return
	}
	for i := range p.Patches {
		k.patch(c, p, &p.Patches[i], fmt.Sprintf("%s.patches[%d]", where, i), patches)
	}
	k.inPage(p, p.TabletWindow, where+".tablet_window")
	k.inPage(p, p.OpaqueBox, where+".opaque_box")
	k.inPage(p, p.CodeBox, where+".code_box")
}

func (k *checker) marks(p *Page, where string) {
	if n := len(p.Marks); n < 3 || n > mostMarks {
		k.bad(where+".marks", "found %d, expected 3 to %d", n, mostMarks)
		return
	}
	seen := map[string]bool{}
	for i, m := range p.Marks {
		at := fmt.Sprintf("%s.marks[%d]", where, i)
		k.id(m.ID, at, seen)
		r := m.DiameterMM / 2
		if !inRange(m.DiameterMM, 1, 50) || !inRange(m.XMM, r, p.WidthMM-r) || !inRange(m.YMM, r, p.HeightMM-r) {
			k.bad(at, "found a diameter of %g mm at %g, %g: not a mark of 1 to 50 mm inside the page", m.DiameterMM, m.XMM, m.YMM)
		}
	}
}

func (k *checker) id(id, where string, seen map[string]bool) {
	if id == "" || len(id) > mostNameLength || strings.ContainsFunc(id, func(r rune) bool { return r <= ' ' || r > '~' }) {
		k.bad(where+".id", "found %q, expected 1 to %d plain letters and figures", id, mostNameLength)
	}
	if seen[id] {
		k.bad(where+".id", "%q is there twice", id)
	}
	seen[id] = true
}

func (k *checker) patch(c *Chart, p *Page, q *Patch, where string, seen map[string]bool) {
	k.id(q.ID, where, seen)
	k.inPage(p, &q.Rect, where)
	if q.Ink == nil && q.Device == nil {
		k.bad(where, "has neither ink nor device")
	}
	if q.Ink != nil && !inRange(*q.Ink, 0, 100) {
		k.bad(where+".ink", "found %g, expected 0 to 100", *q.Ink)
	}
	if q.Device != nil {
		for _, v := range q.Device {
			if !inRange(v, 0, 255) {
				k.bad(where+".device", "found %g, expected 0 to 255", v)
			}
		}
	}
	if q.Exposure != nil && (c.Kind != Exposure || !inRange(*q.Exposure, 1e-9, mostExposure)) {
		k.bad(where+".exposure", "found %g, expected an amount above 0 on a chart of kind exposure", *q.Exposure)
	}
}

// inPage refuses a rectangle with no area or outside its page.
func (k *checker) inPage(p *Page, r *Rect, where string) {
	if r == nil {
		return
	}
	if !inRange(r.WidthMM, 0.1, p.WidthMM) || !inRange(r.HeightMM, 0.1, p.HeightMM) ||
		!inRange(r.XMM, 0, p.WidthMM-r.WidthMM+slackMM) || !inRange(r.YMM, 0, p.HeightMM-r.HeightMM+slackMM) {
		k.bad(where, "found %g x %g mm at %g, %g: not inside a page of %g x %g mm", r.WidthMM, r.HeightMM, r.XMM, r.YMM, p.WidthMM, p.HeightMM)
	}
}

// slackMM forgives what decimal millimetres lose in binary.
const slackMM = 1e-6

// inRange is false for what is not a number.
func inRange(v, low, high float64) bool { return v >= low && v <= high }
