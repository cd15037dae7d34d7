package main

import (
	"fmt"
	"strings"
	"time"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/control"
)

// driftPage is the report of 'drift'.
func driftPage(r *control.DriftReport, made time.Time, inputs []calibration.Input) report.Page {
	p := report.Page{Title: "Drift", Lead: []string{driftHeading(r) + ".", sentence(r.Verdict)}, Foot: reportFoot(made, inputs)}
	for _, f := range r.Findings {
		p.Next = append(p.Next, findingStep(f))
	}
	if r.Fired {
		p.Next = append(p.Next, "When it is put right, run `actinic drift` with --since and that date: the charts start anew.")
	}
	p.Sections = append(p.Sections, remarkSection(r))
	for _, c := range r.Charts {
		p.Sections = append(p.Sections, chartSection(r, c))
	}
	p.Sections = keepSections(append(p.Sections, fadingSection(r.Fading), ruleSection(), cautionSection(nil))...)
	return p
}

// findingStep is what to look for, of one finding.
func findingStep(f control.DriftFinding) string {
	return fmt.Sprintf("%s Look for: %s.", onPage(f.Name()+": "+f.Text), strings.Join(f.Causes, "; or "))
}

// onPage is a sentence with the sign that a terminal may not have.
func onPage(text string) string { return strings.ReplaceAll(sentence(text), "+-", "\u00b1") }

func remarkSection(r *control.DriftReport) report.Section {
	if len(r.Remarks) == 0 {
		return report.Section{}
	}
	s := report.Section{Heading: "To keep in mind"}
	for _, remark := range r.Remarks {
		s.Warnings = append(s.Warnings, sentence(remark))
	}
	return s
}

// chartSection is one chart with its numbers.
func chartSection(r *control.DriftReport, c control.DriftChart) report.Section {
	if len(c.Points) == 0 {
		return report.Section{}
	}
	figure := chartFigure(c)
	s := report.Section{
		Heading: sentence(c.Name)[:len(c.Name)], Text: []string{sentence(c.Text)}, Figure: &figure,
		Caption: "Each check in the order of time. The limits of single checks, dotted, are taken from the first; those of the moving average are dashed. Crosses are checks at which a rule fired.",
		Table:   chartTable(r, c),
	}
	for _, f := range r.Findings {
		if f.Quantity == c.Quantity {
			s.Warnings = append(s.Warnings, onPage(f.Text))
		}
	}
	return s
}

func chartTable(r *control.DriftReport, c control.DriftChart) *report.Table {
	t := &report.Table{Caption: c.Name + " of each check (" + c.Unit + ")",
		Head:    []string{"Check", "File", "Date", "Value", "Moving average", "Rule that fired"},
		Numbers: []bool{true, false, false, true, true, false}}
	for _, p := range c.Points {
		check := r.Checks[p.Check-1]
		average := ""
		if p.Average != nil {
			average = chartNumber(c, *p.Average)
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(p.Check), check.File, check.When.Format(time.DateOnly),
			chartNumber(c, p.Value), average, strings.Join(p.Fired, ", ")})
	}
	return t
}

func chartNumber(c control.DriftChart, v float64) string {
	if c.Unit == "L*" {
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.3f", v)
}

func fadingSection(f *control.Fading) report.Section {
	if f == nil {
		return report.Section{}
	}
	figure := fadingFigure(f)
	return report.Section{Heading: "UV density by the age of the negative", Text: []string{onPage(strings.TrimSuffix(f.Text, "."))}, Figure: &figure,
		Caption: "UV density of the negative at each check, as a share of what the calibration expects, over the negative's age."}
}

// ruleSection says how the charts judge.
func ruleSection() report.Section {
	return report.Section{Heading: "How the charts judge", Text: []string{
		doubtSentence,
		"The first ten checks give the centre and the scatter: that of neighbours, or of all ten where it is more. Limits are Student's, since ten checks tell the scatter only roughly.",
		"Three rules: one check outside the limits, or too far from the one before (Shewhart 1931); the exponentially weighted moving average outside its own limits (Roberts 1959; Lucas and Saccucci 1990).",
		"In a setup that does not move they give one or two false alarms in a hundred checks, all charts together, and four where sittings differ as much as the prints of one.",
	}}
}
