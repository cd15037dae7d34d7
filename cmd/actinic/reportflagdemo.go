package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"actinic/negative/output"
	"actinic/negative/report"
)

// tryReport fails where a report could not be written in the end: better before
// the work than after it.
func (a *app) tryReport(name reportFlag) error {
	if name == "" {
		return nil
	}
	set := output.NewSet(a.outputOptions())
	defer set.Abort()
	_, err := set.Create(string(name))
	return err
}

// report writes the report of all of it.
func (d *demo) report(context.Context) error {
	if d.elsewhere == "" {
		d.result.Report = d.path(demoReportFile)
		return d.save(nil, d.reportJob(demoReportFile, d.demoPage))
	}
	d.result.Report = string(d.elsewhere)
	return d.writeOutputs(nil, d.reportJob(d.elsewhere, d.demoPage))
}

// demoPage is the report of the demo: that of the first calibration, and what the
// two charts more told.
func (d *demo) demoPage() (report.Page, error) {
	sections, err := curveSections(d.first.estimate, d.first.calibration, d.result.Curve)
	if err != nil {
		return report.Page{}, err
	}
	inks, err := d.result.Inks.opacitySections(d.inks)
	if err != nil {
		return report.Page{}, err
	}
	inks[0].Heading = "A chart of ink colours"
	for i := range inks {
		if again := func(s report.Section) bool { return s.Heading == inks[i].Heading }; slices.ContainsFunc(sections, again) {
			inks[i].Heading = "Ink colours: " + strings.ToLower(inks[i].Heading)
		}
	}
	last := len(sections) - 1 // cautions stay at the end
	all := append(sections[:last:last], d.virtualSection(), d.secondSection())
	all = append(append(all, inks...), sections[last])
	inputs := append(d.first.calibration.Inputs, d.inks.Inputs...)
	return report.Page{
		Title: "A first cyanotype, start to end",
		Lead: append([]string{"Print and scan of each chart are simulated; the photograph is real."},
			curveLead(d.first.calibration, d.result.Curve)...),
		Next:     demoNext,
		Sections: all, Foot: reportFoot(d.first.calibration.Made, inputs),
	}, nil
}

var demoNext = []string{
	"Print a chart of your own: `actinic chart ramp -o chart`. A step tablet goes into its window, if you have one.",
	"Scan the print and read it: `actinic read SCAN --chart chart.chart.json -o my.csv`.",
	"Make the calibration, with a report like this one: `actinic curve --ramp my.csv -o my.calibration.json --report my.html`.",
}

// virtualSection says how near the print of the negative came to its aim.
func (d *demo) virtualSection() report.Section {
	v := d.result.Virtual
	return report.Section{Heading: "The negative, printed", Text: []string{
		fmt.Sprintf("The photograph's negative was printed in the virtual darkroom. The tones of its pixels lie within %.1f L* of their aim as a rule, and within %.1f L* at most.", v.Typical, v.Largest)}}
}

// secondSection says what a second chart was worth.
func (d *demo) secondSection() report.Section {
	r := d.result.Second
	v := r.Plan.Verdict
	t := report.Table{Caption: "Doubt of the print's tones, 95 of 100 tones (L*)", Head: []string{"Known from", "On average", "At most"}, Numbers: []bool{false, true, true},
		Rows: [][]string{
			{"the first chart", fmt.Sprintf("± %.2f", v.Before.Average), fmt.Sprintf("± %.2f", v.Before.Largest)},
			{"both charts, as planned", fmt.Sprintf("± %.2f", v.After.Average), fmt.Sprintf("± %.2f", v.After.Largest)}}}
	return report.Section{Heading: "A second chart", Table: &t,
		Text: append([]string{fmt.Sprintf("%d patches, most of them where the first chart left most doubt. %s", r.Patches, verdictWords(v))}, printLines(r.Curve.Prints)...)}
}
