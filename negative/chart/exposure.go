package chart

import (
	"fmt"

	"actinic/process/fault"
	"actinic/process/sensitometry"
)

// ExposureOptions says what a strip of exposures shows.
type ExposureOptions struct {
	Sheet
	// Steps are the exposures of the areas in one unit, shortest first, 2 to 40.
	Steps []sensitometry.Exposure
}

const leastSteps, mostSteps = 2, 40

// Measures of the strip, in micrometres.
const (
	leastAreaUM = 7000
	mostAreaUM  = 25_000
	leastWideUM = 15_000
)

// NewExposure returns a chart of equal areas of clear film below each other, the
// shortest exposure at the top: all are open at first and are covered one after
// the other, so that each gets its own exposure. Marks and labels stand beside
// the strip and stay open. It fails with *fault.Error where film or exposures
// can't be used.
func NewExposure(o ExposureOptions) (*Chart, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := o.checkSteps(); err != nil {
		return nil, err
	}
	p, notices, err := o.plan(Exposure)
	if err != nil {
		return nil, err
	}
	areas, ok := p.areas(len(o.Steps), o.labelUM())
	if !ok {
		return nil, fault.New("", "", fmt.Sprintf("%d areas have no room on film of %g x %g mm", len(o.Steps), o.WidthMM, o.HeightMM),
			"ask for fewer exposures, for example --strips 5, or use larger film")
	}
	c := o.newChart(Exposure)
	c.Notices, c.ExposureUnit = notices, o.Steps[0].Unit
	page := c.addPage(&o.Sheet, p)
	page.Patches = append(page.Patches, o.patches(areas)...)
	c.nameCodes()
	return c, nil
}

func (o *ExposureOptions) checkSteps() error {
	if n := len(o.Steps); n < leastSteps || n > mostSteps {
		return fault.New("", "", fmt.Sprintf("%d exposures, expected %d to %d", n, leastSteps, mostSteps), "9 serve most papers: --strips 9")
	}
	for i, s := range o.Steps {
		if !inRange(s.Amount, 1e-9, mostExposure) || s.Unit != o.Steps[0].Unit || i > 0 && s.Amount <= o.Steps[i-1].Amount {
			return fault.New("", "", fmt.Sprintf("exposure %d is %v; they must rise from above 0 in one unit", i+1, s), "")
		}
	}
	return nil
}

// patches are the areas of clear film, named by their number.
func (o *ExposureOptions) patches(areas []box) []Patch {
	var all []Patch
	for i, at := range areas {
		ink, device, amount := 0.0, [3]float64{255, 255, 255}, o.Steps[i].Amount
		all = append(all, Patch{ID: fmt.Sprint(i + 1), Rect: at.rect(), Ink: &ink, Device: &device, Exposure: &amount})
	}
	return all
}

// labelUM is the width of the widest label beside the strip.
func (o *ExposureOptions) labelUM() int {
	widest := 0
	for i, s := range o.Steps {
		widest = max(widest, textWidth(areaLabel(i+1, len(o.Steps), s)))
	}
	return widest
}

// areaLabel says when an area is covered, which is what exposure it gets.
func areaLabel(number, of int, x sensitometry.Exposure) string {
	if number == of {
		return fmt.Sprintf("%d  stop at %v", number, x)
	}
	return fmt.Sprintf("%d  cover at %v", number, x)
}

// areas divides the field above the code into n equal areas with a line of ink
// around each, and room for labels at their right.
func (p *plan) areas(n, labelUM int) ([]box, bool) {
	high := p.field.h
	for _, t := range p.taken {
		high = min(high, t.y-apartUM-p.field.y)
	}
	each := min((high-lineUM)/n-lineUM, mostAreaUM)
	wide := p.field.w - labelUM - apartUM - 2*lineUM
	if each < leastAreaUM || wide < leastWideUM {
		return nil, false
	}
	var all []box
	for i := range n {
		all = append(all, box{p.field.x + lineUM, p.field.y + lineUM + i*(each+lineUM), wide, each})
	}
	return all, true
}

// strip draws the lines around the areas and a label beside each.
func (d *drawing) strip(c *Chart) {
	var areas []*Patch
	for i := range d.page.Patches {
		if d.page.Patches[i].Exposure != nil {
			areas = append(areas, &d.page.Patches[i])
		}
	}
	for i, q := range areas {
		b := q.Rect.box()
		d.frame(b)
		label := areaLabel(i+1, len(areas), sensitometry.Exposure{Amount: *q.Exposure, Unit: c.ExposureUnit})
		d.text(label, b.right()+lineUM+apartUM, b.y+(b.h-capUM)/2)
	}
}
