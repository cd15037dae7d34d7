package scan

import (
	"fmt"
	"math"
	"strings"

	"actinic/negative/chart"
	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/tablet"
)

// Result is what the scans of a chart say.
type Result struct {
	Chart    *chart.Chart
	Readings []*Reading // patches, page by page in the chart's order
	Steps    []*Reading // the step tablet from its clearest step; nil if none was read
	Pages    []PageReport
	Notices  []string // whole sentences for the user

	tablet *tablet.Tablet
	scans  []*pageRead
}

// add takes a page, its scans averaged. The tablet of the first page that has
// one is the chart's.
func (r *Result) add(p *pageRead, scans []*pageRead) {
	r.Readings = append(r.Readings, p.readings...)
	r.Notices = append(r.Notices, p.notices...)
	if r.Steps == nil {
		r.Steps = p.steps
	}
	r.Pages = append(r.Pages, p.report(r.Chart, scans))
}

// Flagged returns the readings that are not to be trusted, steps last.
func (r *Result) Flagged() []*Reading {
	var out []*Reading
	for _, all := range [][]*Reading{r.Readings, r.Steps} {
		for _, reading := range all {
			if reading.Flag != "" {
				out = append(out, reading)
			}
		}
	}
	return out
}

// Patches returns the readings of the chart's patches as a table, as an
// instrument's are; chart.Match gives them their inks. Patches of which the scan
// shows nothing are left out.
func (r *Result) Patches() *measure.Table {
	t := &measure.Table{Kind: measure.Patches, Unit: measure.InLightness, Comments: r.comments()}
	for _, reading := range r.Readings {
		if reading.Count > 0 {
			t.Readings = append(t.Readings, reading.measured())
		}
	}
	return t
}

// Tablet returns the readings of the step tablet, without densities where the
// tablet is not known; nil if there was none.
func (r *Result) Tablet() *measure.Table {
	if len(r.Steps) == 0 {
		return nil
	}
	t := &measure.Table{Kind: measure.Tablet, Unit: measure.InLightness, Comments: r.comments()}
	if r.tablet != nil && !r.tablet.Calibrated {
		t.Comments = append(t.Comments, measure.NominalTablet+": "+r.tablet.Name)
	}
	for _, step := range r.Steps {
		m := step.measured()
		if r.tablet != nil {
			m.Tablet = r.densityOf(step.ID)
		}
		t.Readings = append(t.Readings, m)
	}
	return t
}

// AddPaper adds to the readings of a test strip the paper under the opaque tape,
// which no light reached; nothing where no tape lay.
func (r *Result) AddPaper(strip *measure.Table) {
	for _, p := range r.Pages {
		if b := p.OpaqueBox; b != nil && b.Taped && b.reading != nil && len(strip.Readings) > 0 {
			m := b.reading.measured()
			m.ID, m.SD = "paper", math.NaN() // the doubt of one small area is not known
			m.Exposure.Unit = strip.Readings[0].Exposure.Unit
			strip.Readings = append(strip.Readings, m)
			return
		}
	}
}

func (r *Result) densityOf(step string) density.Density {
	for _, s := range r.tablet.Steps {
		if s.Name == step {
			return s.Density
		}
	}
	return density.Density(math.NaN())
}

// measured returns a reading as a file holds it, to a thousandth.
func (r *Reading) measured() measure.Reading {
	m := measure.Blank()
	m.ID, m.Value, m.Unit, m.Count, m.Flag = r.ID, thousandth(r.Lstar), measure.InLightness, r.Count, r.Flag
	m.SD, m.Spread = thousandth(r.SD), thousandth(r.Spread)
	m.XMM, m.YMM = thousandth(r.XMM), thousandth(r.YMM)
	return m
}

func thousandth(v float64) float64 { return math.Round(v*1000) / 1000 }

// comments are the lines at the head of a file of readings.
func (r *Result) comments() []string {
	var out []string
	for i, p := range r.Pages {
		out = append(out, fmt.Sprintf("page %d of chart %s, read from %s", i+1, p.Code, plain(strings.Join(p.Scans, ", "))))
		if b := p.OpaqueBox; b != nil && b.Taped {
			out = append(out, fmt.Sprintf("paper under the tape L* %.2f, full ink %.2f", b.Lstar, b.FullInkLstar))
		}
	}
	return out
}

// plain makes a name fit for one line of text.
func plain(name string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == '\uFFFD' {
			return '?'
		}
		return r
	}, name))
}

// finish looks at all pages together.
func (r *Result) finish(o *Options) error {
	if err := r.finishTablet(o); err != nil {
		return err
	}
	usable := 0
	for _, reading := range r.Readings {
		if reading.Count > 0 {
			usable++
		}
	}
	if len(r.Readings) > 0 && usable == 0 {
		return fault.New(r.scans[0].name, "", "no patch of the chart lies in the scan", "scan the whole sheet")
	}
	return nil
}

// finishTablet tells that no page had a step tablet: an error where one was named
// or the chart is for nothing else.
func (r *Result) finishTablet(o *Options) error {
	if r.Steps != nil {
		return nil
	}
	what, in := "the chart has no window for a step tablet", ""
	for _, p := range r.scans {
		if p.noStrip != "" {
			what, in = p.noStrip, p.name
		}
	}
	switch {
	case r.Chart.Kind == chart.Tablet:
		return fault.New(in, "the tablet window", what, "lay the tablet wholly inside the window, and print again")
	case o.Tablet != nil:
		return fault.New(in, "the tablet window", what, "leave out --steps if no tablet lay there")
	case in != "":
		r.Notices = append(r.Notices, in+": "+what)
	}
	return nil
}

// Tidy rounds positions to a thousandth of a millimetre, as readings are: sums of
// them have more digits than meaning.
func Tidy(t *measure.Table) *measure.Table {
	for i := range t.Readings {
		t.Readings[i].XMM, t.Readings[i].YMM = thousandth(t.Readings[i].XMM), thousandth(t.Readings[i].YMM)
	}
	return t
}
