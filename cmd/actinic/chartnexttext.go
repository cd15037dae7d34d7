package main

import (
	"fmt"
	"io"

	"actinic/process/nextchart"
)

// nextCharted is what 'chart next' made; one of the plans is nil.
type nextCharted struct {
	charted
	levels  *nextchart.Plan
	colours *nextchart.ColourPlan
}

// verdict is that of the plan that there is.
func (r nextCharted) verdict() nextchart.Verdict {
	if r.levels != nil {
		return r.levels.Verdict
	}
	return r.colours.Verdict
}

// value is the object for --json.
func (r nextCharted) value() any {
	if r.levels != nil {
		return struct {
			charted
			*nextchart.Plan
		}{r.charted, r.levels}
	}
	return struct {
		charted
		*nextchart.ColourPlan
	}{r.charted, r.colours}
}

func (a *app) printNext(r nextCharted, caution string) error {
	return a.print(r.value(), func(w io.Writer) error {
		if err := chartedText(w, r.charted, caution); err != nil {
			return err
		}
		return nextText(w, r)
	})
}

// nextText says how wide the band is and will be, and whether that is worth it.
func nextText(w io.Writer, r nextCharted) error {
	v := r.verdict()
	_, err := fmt.Fprintf(w, `
The print's tones are known to +- %.2f L* on average now, +- %.2f at most;
with this chart to +- %.2f and +- %.2f (95 of 100 tones).
%s
`, v.Before.Average, v.Before.Largest, v.After.Average, v.After.Largest, verdictWords(v))
	if err == nil && r.levels != nil && r.levels.Scatter > 0 {
		_, err = fmt.Fprintf(w, "Single prints differ by +- %.1f L* besides (95 of 100 prints), and no chart changes that.\n", r.levels.Scatter)
	}
	return err
}

// verdictWords says whether the chart is worth its film, and why.
func verdictWords(v nextchart.Verdict) string {
	if v.Worth {
		return "Worth a sheet of film: " + v.Why + "."
	}
	return "Not worth a sheet of film: " + v.Why + "."
}
