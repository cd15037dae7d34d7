package main

import (
	"fmt"
	"io"
	"time"

	"actinic/negative/report"
	"actinic/process/control"

	"github.com/spf13/cobra"
)

// driftOptions are the flags of 'drift'.
type driftOptions struct {
	since    dateFlag
	last     int
	quantity quantityFlag
	plot     plotFlag
	report   reportFlag
}

var driftLong = `Draws control charts of the checks of one setup, in the order of time, and says
whether the setup moves: the lamp ages, a new batch prints otherwise, negatives
fade.

CHECK is a file that 'actinic check -o' wrote, or a folder: then every
*.check.json in it. Checks of different setups are refused, and so is one print
given twice. A print made at another exposure counts at its time where all
checks record theirs: a lamp that ages shows though you print longer.

There is a chart each of the exposure offset, maximum density, paper white and
the mid-tone. The first ten checks give its limits; from then on each new one is
held against them by three rules:

  single          one check outside the limits (Shewhart 1931)
  moving range    too far from the check before (Shewhart 1931)
  moving average  exponentially weighted, 0.4 the newest (Roberts 1959; Lucas
                  and Saccucci 1990): finds small changes that stay

Textbook limits, 2.66 mean moving ranges, promise too much with ten checks:
these are wider, by Student's distribution. In a setup that does not move, all
rules on all charts together give one or two false alarms in a hundred checks,
four where sittings differ as much as the prints of one; a change of exposure by
0.10 where prints scatter by 0.03 shows within five checks in nine of ten cases
(simulated). With six to ten checks only a large change can show; with fewer
nothing is judged. Take the first ten on five days or more.

After you have put something right, --since starts new limits from that date.

Where checks of a ramp tell when the negative was made, its UV density is held
against its age.

With --json: one object {"setup", "checks", "charts", "fading", "fired",
"findings", "verdict", "remarks"}; a chart has "quantity", "unit", "baseline"
(null with too few checks), "points" and "change". Exit code 4: a rule fired at
a check that is answered for.`

// newDrift returns the command that looks at many checks over time.
func newDrift(a *app) *cobra.Command {
	var o driftOptions
	cmd := &cobra.Command{
		Use:   "drift CHECK...",
		Short: "Whether a setup moves: its checks over time",
		Long:  driftLong,
		Example: `  actinic drift checks/
  actinic drift checks/ --last 1
  actinic drift a.check.json b.check.json --report drift.html
  actinic drift checks/ --since 2026-05-01 --plot drift.svg`,
		Args: atLeastOne("CHECK"),
		RunE: func(_ *cobra.Command, args []string) error { return runDrift(a, args, o) },
	}
	flags := cmd.Flags()
	flags.Var(&o.since, "since", "leave out checks from before `DATE`, as in 2026-05-01")
	flags.IntVar(&o.last, "last", 0, "answer for the newest `N` checks only; alarms at earlier ones do not count (0: all)")
	flags.Var(&o.plot, "plot", "draw one chart into `FILE`, .svg or .png")
	flags.Var(&o.quantity, "quantity", "the chart that --plot draws, `NAME`: "+quantityNames+" (default: the first that moved, else the exposure offset)")
	addReportFlag(flags, &o.report)
	return cmd
}

func runDrift(a *app, args []string, o driftOptions) error {
	if err := o.check(); err != nil {
		return err
	}
	files, err := a.readChecks(args)
	if err != nil {
		return err
	}
	files, err = files.since(time.Time(o.since))
	if err != nil {
		return err
	}
	result, err := control.Drift(files.inputs, control.DriftOptions{Last: o.last})
	if err != nil {
		return err
	}
	if err := a.writeDrift(result, files, o); err != nil {
		return err
	}
	if err := a.print(result, func(w io.Writer) error { return driftText(w, result) }); err != nil {
		return err
	}
	return driftAnswer(result)
}

// check refuses flags that mean nothing.
func (o *driftOptions) check() error {
	switch {
	case o.last < 0:
		return &usageError{where: "--last", what: fmt.Sprintf("%d is less than 0", o.last), hint: "write --last N with N from 1 up, or 0 for all checks"}
	case o.plot == standardStream:
		return plotNeedsName()
	case o.quantity != "" && o.plot == "":
		return &usageError{where: "--quantity", what: "it says what --plot draws, and there is no --plot", hint: "add --plot FILE, or leave out --quantity"}
	}
	return nil
}

// writeDrift writes the plot and the report that were asked for.
func (a *app) writeDrift(r *control.DriftReport, files checkFiles, o driftOptions) error {
	made, err := a.made()
	if err != nil {
		return err
	}
	var jobs []job
	if o.plot != "" {
		figure, err := driftPlot(r, string(o.quantity))
		if err != nil {
			return err
		}
		jobs = append(jobs, plotJob(o.plot, figure))
	}
	jobs = append(jobs, a.reportJob(o.report, func() (report.Page, error) { return driftPage(r, made, files.hashed), nil }))
	return a.writeOutputs(files.names, jobs...)
}

// driftAnswer is the error that gives exit code 4 where a rule fired.
func driftAnswer(r *control.DriftReport) error {
	if !r.Fired {
		return nil
	}
	first := r.Findings[0]
	return &toleranceError{file: first.File, what: r.Verdict,
		hint: "look for: " + first.Causes[0] + "; once it is put right, --since DATE starts new limits"}
}
