package chart

import (
	"fmt"
	"math"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// MatchReport says how readings and chart went together.
type MatchReport struct {
	Matched int      // patches of the chart that were read
	Missing []string // patches of the chart without a reading, in its order
	// Fixed holds the patches of a ramp that have printer code values only, as ink
	// colours; nil where none was read.
	Fixed   *measure.Table
	Notices []string // for the user, one sentence each
}

// Match gives the readings of an instrument, which knows patches by name only,
// what the chart knows of them: ink, printer code values, exposure, and the
// position on the nominal page. t is a table of any kind that has patches; read
// it with measure.Options.ByPatch. Its readings come back in the order of the
// chart, as a table of the chart's kind.
//
// Names match whatever their case; C07 is taken for C7 where that means one
// patch only. Exposures that the readings state stand: they are what was given,
// the chart's what was planned. Names that the chart does not have, two readings of one patch, inks
// or code values that contradict the chart, and fewer readings than half of the
// chart's patches are a *fault.Error. Patches without a reading are listed in the
// report.
func Match(t *measure.Table, c *Chart) (*measure.Table, *MatchReport, error) {
	if err := checkMatchable(t, c); err != nil {
		return nil, nil, err
	}
	found, err := pairUp(t, c)
	if err != nil {
		return nil, nil, err
	}
	out, fixed := *t, *t
	out.Kind, out.Readings, out.Notices = tableKind[c.Kind], nil, nil
	fixed.Kind, fixed.Readings, fixed.Notices = measure.Colours, nil, nil
	report := &MatchReport{}
	if t.Kind != measure.Ramp { // its notices are of columns that the chart fills in
		report.Notices = append(report.Notices, t.Notices...)
	}
	for _, page := range c.Pages {
		for i := range page.Patches {
			p := &page.Patches[i]
			to := &out
			switch {
			case belongs(p, out.Kind):
			case out.Kind == measure.Ramp && p.Device != nil:
				to = &fixed
			default:
				continue // a corner patch of a test strip: no figure of it
			}
			r, read := found[p.ID]
			if !read {
				report.Missing = append(report.Missing, p.ID)
				continue
			}
			to.Readings = append(to.Readings, c.describe(r, p))
			report.Matched++
		}
	}
	levelDevices(&out)
	if len(fixed.Readings) > 0 {
		report.Fixed = &fixed
	}
	return &out, report, report.judge(t, &out)
}

// tableKind is what the readings of a chart are. A chart of kind Tablet has none
// to match.
var tableKind = map[Kind]measure.Kind{
	Ramp: measure.Ramp, Check: measure.Ramp, Colours: measure.Colours, Exposure: measure.Exposures,
}

func checkMatchable(t *measure.Table, c *Chart) error {
	if _, ok := tableKind[c.Kind]; !ok {
		return fault.New(t.File, "", fmt.Sprintf("a chart of kind %s has no patches to match", c.Kind),
			noChartHint)
	}
	if t.Kind == measure.Tablet || t.Kind == measure.Spectra {
		return fault.New(t.File, "", fmt.Sprintf("holds %v, expected patches of a chart", t.Kind), noChartHint)
	}
	return nil
}

const noChartHint = "readings of a step tablet need no chart: give them to 'tablet' or 'curve'"

// belongs says whether a patch goes into a table of a kind.
func belongs(p *Patch, kind measure.Kind) bool {
	switch kind {
	case measure.Ramp:
		return p.Ink != nil
	case measure.Exposures:
		return p.Exposure != nil
	}
	return p.Device != nil
}

// describe returns a reading with what the chart knows of its patch.
func (c *Chart) describe(r measure.Reading, p *Patch) measure.Reading {
	r.ID, r.Strip = p.ID, ""
	r.Ink, r.HasDevice, r.Device = math.NaN(), p.Device != nil, [3]float64{}
	switch {
	case p.Exposure == nil:
		r.Exposure = sensitometry.Exposure{}
	case r.Exposure.Unit == "":
		r.Exposure = sensitometry.Exposure{Amount: *p.Exposure, Unit: c.ExposureUnit}
	}
	if p.Exposure != nil {
		r.HasDevice = false // clear film: no figure of a test strip
	} else if p.Ink != nil {
		r.Ink = *p.Ink
	}
	if r.HasDevice {
		r.Device = *p.Device
	}
	r.XMM, r.YMM = p.XMM+p.WidthMM/2, p.YMM+p.HeightMM/2
	return r
}

// levelDevices drops the printer code values of a table where some reading has
// none: a file has them for all or for none.
func levelDevices(t *measure.Table) {
	for _, r := range t.Readings {
		if !r.HasDevice {
			for i := range t.Readings {
				t.Readings[i].HasDevice, t.Readings[i].Device = false, [3]float64{}
			}
			return
		}
	}
}

// leastShare is the share of a chart's patches below which a file is taken for
// something else: the wrong chart, or an export that was cut off (a working value
// of ours).
const leastShare = 0.5

// judge notes what is missing, and refuses too little.
func (m *MatchReport) judge(t, out *measure.Table) error {
	all := m.Matched + len(m.Missing)
	if float64(m.Matched) < leastShare*float64(all) {
		return fault.New(t.File, "", fmt.Sprintf("readings of %d of the %d patches, expected at least half: missing %s", m.Matched, all, someOf(m.Missing)),
			"read the rest of the chart, or check that the readings belong to this chart")
	}
	if len(out.Readings) == 0 {
		return fault.New(t.File, "", fmt.Sprintf("no reading of %v, which the chart is for", out.Kind), "read the patches of the grid")
	}
	if len(m.Missing) > 0 {
		m.Notices = append(m.Notices, fmt.Sprintf("%d of %d patches were not read: %s", len(m.Missing), all, someOf(m.Missing)))
	}
	return nil
}

// someOf lists names, the first dozen where there are more.
func someOf(names []string) string {
	const most = 12
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}
