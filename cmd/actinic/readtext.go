package main

import (
	"fmt"
	"strings"

	"actinic/negative/chart"
	"actinic/negative/scan"
	"actinic/process/measure"
)

// readResult is what 'read' prints with --json.
type readResult struct {
	Inputs  []string          `json:"inputs"`
	Chart   string            `json:"chart"`
	Kind    chart.Kind        `json:"kind"`
	Output  string            `json:"output"`
	Tablet  *string           `json:"tablet_output"` // null where none was written
	Fixed   *string           `json:"fixed_output"`  // the same
	Show    *string           `json:"show"`
	Pages   []scan.PageReport `json:"pages"`
	Patches int               `json:"patches"`
	Steps   int               `json:"steps"`
	Missing []string          `json:"missing"`
	Flagged []flaggedPatch    `json:"flagged"`
	Notices []string          `json:"notices"`
}

// flaggedPatch is a patch or step that is not to be trusted.
type flaggedPatch struct {
	Patch  string `json:"patch"`
	Reason string `json:"reason"`
}

func newReadResult(inputs []string, c *chart.Chart, o *readOptions) *readResult {
	return &readResult{Inputs: inputs, Chart: o.chart, Kind: c.Kind, Output: o.out, Pages: []scan.PageReport{},
		Missing: []string{}, Flagged: []flaggedPatch{}, Notices: []string{}}
}

// take counts the patches of a table that was matched to the chart.
func (r *readResult) take(t *measure.Table, m *chart.MatchReport) {
	r.Patches = m.Matched
	r.Missing = append(r.Missing, m.Missing...)
	r.Notices = append(r.Notices, m.Notices...)
}

// named notes the name of a further file, if there is a table for it; without a
// name, because the readings go to standard output, it is left out.
func (r *readResult) named(to **string, name string, t *measure.Table) string {
	switch {
	case t == nil:
		return ""
	case name == "":
		r.Notices = append(r.Notices, fmt.Sprintf("readings of %v are not written: give -o a name", t.Kind))
		return ""
	}
	*to = &name
	return name
}

// text tells the result in words.
func (r *readResult) text() string {
	var b strings.Builder
	for _, p := range r.Pages {
		pageText(&b, &p)
	}
	if r.Kind != chart.Tablet {
		fmt.Fprintf(&b, "%d patches: %s\n", r.Patches, r.Output)
	}
	switch {
	case r.Kind == chart.Tablet:
		fmt.Fprintf(&b, "%d steps of the tablet: %s\n", r.Steps, r.Output)
	case r.Tablet != nil:
		fmt.Fprintf(&b, "%d steps of the tablet: %s\n", r.Steps, *r.Tablet)
	}
	if r.Fixed != nil {
		fmt.Fprintf(&b, "patches of fixed printer values: %s\n", *r.Fixed)
	}
	if r.Show != nil {
		fmt.Fprintf(&b, "what was found where: %s\n", *r.Show)
	}
	bullets(&b, "Not to be trusted", r.flaggedLines())
	return b.String()
}

// mostFlagged is how many flagged patches are listed; the file has them all.
const mostFlagged = 20

func (r *readResult) flaggedLines() []string {
	var lines []string
	for i, f := range r.Flagged {
		if i == mostFlagged {
			return append(lines, fmt.Sprintf("and %d more", len(r.Flagged)-mostFlagged))
		}
		lines = append(lines, f.Patch+": "+f.Reason)
	}
	return lines
}

func pageText(b *strings.Builder, p *scan.PageReport) {
	fmt.Fprintf(b, "Page %d, %s: %d of %d marks found", p.Page, p.Code, len(p.MarksFound), len(p.MarksFound)+len(p.MarksMissing))
	if len(p.MarksMissing) > 0 {
		fmt.Fprintf(b, " (not %s)", strings.Join(p.MarksMissing, ", "))
	}
	fmt.Fprintf(b, ", turned by %.1f degrees", p.AngleDegrees)
	if p.WidthPercent != nil && p.HeightPercent != nil {
		fmt.Fprintf(b, ", %.1f %% of the chart's width and %.1f %% of its height", *p.WidthPercent, *p.HeightPercent)
	}
	fmt.Fprintln(b, ".")
}
