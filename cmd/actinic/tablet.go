package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/sensitometry"
	"actinic/process/tablet"

	"github.com/spf13/cobra"
)

// tabletOptions are the flags of 'tablet'.
type tabletOptions struct {
	steps    stepsFlag
	process  string
	exposure exposureFlag
	eye      eyeFlag
	plot     plotFlag
	report   reportFlag
}

// newTablet returns the command that reads a print of a step tablet.
func newTablet(a *app) *cobra.Command {
	var o tabletOptions
	cmd := &cobra.Command{
		Use:   "tablet READINGS",
		Short: "What a print of a step tablet says about a process",
		Long: `Fits the characteristic curve to the readings of a contact print of a step
tablet and says what it means: paper and maximum density, exposure scale, needed
range, ISO range, average gradient, and the shortest exposure that reaches black
through clear film.

READINGS is a CSV file with the columns step, tablet_density and print_density
(or print_lstar), or ISO 28178 text; '-' is standard input. Without densities of
the tablet, --steps names it.

Without an instrument, --eye takes two steps read by eye instead of READINGS and
gives rough figures.

With --json: one object; a figure that the readings do not reach is null.`,
		Example: `  actinic tablet tablet.csv --exposure 8m
  actinic tablet readings.csv --steps 21x0.15+0.05 --plot characteristic.svg
  actinic tablet tablet.csv --exposure 8m --report tablet.html
  actinic tablet --eye 3,14 --exposure 8m`,
		Args: func(cmd *cobra.Command, args []string) error { return o.checkArguments(cmd, args) },
		RunE: func(_ *cobra.Command, args []string) error { return runTablet(a, args, o) },
	}
	flags := cmd.Flags()
	flags.Var(&o.exposure, "exposure", exposureUsage)
	flags.Var(&o.steps, "steps", stepsUsage)
	flags.StringVar(&o.process, "process", "", "the print is by process `NAME`; needed only where prints lighten with exposure")
	flags.Var(&o.eye, "eye", "no instrument: the last step that merged with black and the last step seen, as `BLACK,SEEN`")
	flags.Var(&o.plot, "plot", "draw the characteristic curve into `FILE`, .svg or .png")
	addReportFlag(flags, &o.report)
	return cmd
}

// eyeFlag is a flag that takes two steps.
type eyeFlag struct{ lastBlack, lastSeen int }

func (f *eyeFlag) Set(text string) error {
	black, seen, _ := strings.Cut(text, ",")
	var err1, err2 error
	f.lastBlack, err1 = strconv.Atoi(strings.TrimSpace(black))
	f.lastSeen, err2 = strconv.Atoi(strings.TrimSpace(seen))
	if err1 != nil || err2 != nil {
		return errors.New("expected two step numbers with a comma between, as in 3,14")
	}
	return nil
}

func (f *eyeFlag) String() string {
	if f.lastSeen == 0 {
		return ""
	}
	return fmt.Sprintf("%d,%d", f.lastBlack, f.lastSeen)
}

func (f *eyeFlag) Type() string { return "BLACK,SEEN" }

// checkArguments refuses READINGS beside --eye, and neither.
func (o *tabletOptions) checkArguments(cmd *cobra.Command, args []string) error {
	if !cmd.Flag("eye").Changed {
		return exactly("READINGS")(cmd, args)
	}
	if err := noMoreThan(cmd, args, 0); err != nil {
		return err
	}
	for name, file := range map[string]string{"--plot": string(o.plot), "--report": string(o.report)} {
		if file != "" {
			return &usageError{where: name, what: "two steps read by eye make no curve to draw",
				hint: "measure the print, or leave out " + name}
		}
	}
	return nil
}

func runTablet(a *app, args []string, o tabletOptions) error {
	if o.plot == standardStream {
		return plotNeedsName()
	}
	if len(args) == 0 {
		return runEye(a, o)
	}
	falling, err := fallingOf(o.process)
	if err != nil {
		return err
	}
	readings, err := a.readReadings(args[0], &measure.Options{Steps: string(o.steps)})
	if err != nil {
		return err
	}
	estimate, err := calibration.Fit([]calibration.Print{{Tablet: readings}}, &calibration.Options{Falling: falling})
	if err != nil {
		return err
	}
	summary := estimate.TabletSummary(o.exposure.exposure())
	if err := a.writeTablet(args, o, estimate, readings, summary); err != nil {
		return err
	}
	for _, n := range summary.Notices {
		a.notice("%s", n)
	}
	return a.print(summary, func(w io.Writer) error { return tabletText(w, summary) })
}

// writeTablet writes plot and report.
func (a *app) writeTablet(args []string, o tabletOptions, e *calibration.Estimate, t *measure.Table, s calibration.TabletSummary) error {
	made, err := a.made()
	if err != nil {
		return err
	}
	inputs := []calibration.Input{{Name: t.Name, SHA256: t.SHA256}}
	return a.writeOutputs(args, plotJob(o.plot, characteristicFigure(e)),
		a.reportJob(o.report, func() (report.Page, error) { return tabletPage(e, s, made, inputs), nil }))
}

// plotNeedsName is the usage error for a plot on the stream of the results.
func plotNeedsName() error {
	return &usageError{where: "--plot", what: "standard output holds the figures already",
		hint: "write --plot FILE with a name that ends in .svg or .png"}
}

// fallingOf reports whether prints of the process lighten with exposure; no
// process means that they darken.
func fallingOf(process string) (bool, error) {
	if process == "" {
		return false, nil
	}
	card, err := findProcess(process)
	return card.Falling, err
}

// usualTablet is the tablet that --eye takes unless --steps names another.
const usualTablet = "21x0.15+0.05"

func runEye(a *app, o tabletOptions) error {
	notation := string(o.steps)
	if notation == "" {
		notation = usualTablet
	}
	nominal, err := tablet.Parse(notation)
	if err != nil {
		return err
	}
	var steps []density.Density
	for _, s := range nominal.Steps {
		steps = append(steps, s.Density)
	}
	eye, err := sensitometry.ReadByEye(steps, o.eye.lastBlack, o.eye.lastSeen)
	if err != nil {
		return &usageError{where: "--eye", what: err.Error(), hint: "count the steps from the clear end of the tablet, from 1"}
	}
	summary := calibration.SummariseEye(eye, o.exposure.exposure())
	summary.Tablet, summary.LastBlack, summary.LastSeen = nominal.Name, o.eye.lastBlack, o.eye.lastSeen
	return a.print(summary, func(w io.Writer) error { return eyeText(w, summary) })
}
