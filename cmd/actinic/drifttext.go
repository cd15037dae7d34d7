package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"actinic/process/control"
)

// driftText tells what the checks say: a line a quantity, then what fired.
func driftText(w io.Writer, r *control.DriftReport) error {
	fmt.Fprintf(w, "%s\n%s\n\n", driftHeading(r), sentence(r.Verdict))
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range r.Charts {
		fmt.Fprintf(table, "%s\t%s\n", c.Name, c.Text)
	}
	if r.Fading != nil {
		fmt.Fprintf(table, "UV density by age\t%s\n", r.Fading.Text)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	for _, f := range r.Findings {
		fmt.Fprintf(w, "\n%s: %s.\n", f.Name(), f.Text)
		fmt.Fprintf(w, "  first alarm: %s, %s, by the rule %s\n", f.File, f.When.Format(time.DateOnly), strings.Join(f.Rules, " and the rule "))
		if len(f.Runs) > 0 {
			fmt.Fprintf(w, "  newest checks: %s\n", strings.Join(f.Runs, "; "))
		}
		for i, cause := range f.Causes {
			fmt.Fprintf(w, "  %s %s\n", causeWord(i), cause)
		}
	}
	if len(r.Findings) > 0 || r.Fading != nil {
		fmt.Fprintf(w, "\n%s\n", doubtLine)
	}
	if len(r.Remarks) > 0 {
		fmt.Fprintln(w)
	}
	for _, remark := range r.Remarks {
		fmt.Fprintf(w, "Note: %s.\n", remark)
	}
	return nil
}

func causeWord(i int) string {
	if i == 0 {
		return "likely:"
	}
	return "    or:"
}

// driftHeading names the setup, the count of checks and their time.
func driftHeading(r *control.DriftReport) string {
	first, last := r.Checks[0].When, r.Checks[len(r.Checks)-1].When
	checks := fmt.Sprintf("%d checks, %s to %s", len(r.Checks), first.Format(time.DateOnly), last.Format(time.DateOnly))
	if len(r.Checks) == 1 {
		checks = "1 check, " + first.Format(time.DateOnly)
	}
	var names []string
	for _, name := range []string{r.Setup.Process, r.Setup.Paper, r.Setup.Printer, r.Setup.Film, r.Setup.Lamp} {
		if name != "" {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return checks
	}
	return strings.Join(names, ", ") + ": " + checks
}

// sentence gives text a capital and a full stop.
func sentence(text string) string {
	return strings.ToUpper(text[:1]) + text[1:] + "."
}
