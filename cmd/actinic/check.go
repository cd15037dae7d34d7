package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/control"
	"actinic/process/measure"

	"github.com/spf13/cobra"
)

const checkLong = `Holds a print against what its calibration expects and says in one line what to
do: nothing, another time, look for what changed the contrast or the depth, or
print a new ramp. Where the readings do not decide, it says so.

READINGS are of a ramp or of 'chart check' (columns patch and ink), or of the
strip that 'negative --check-strip' puts beside a picture (column patch, 1 to
10), each with print_lstar or print_density; ISO 28178 text too. With --chart,
patches are known by their names, and READINGS may be a scan of the chart's
print; with --corners, a scan of a picture's print with its strip. Where colour
was read (print_a and print_b, or LAB_A and LAB_B), it says how the cast runs
along the tone scale: solid greys are where it shows.

A patch that fits nothing, as under a finger mark, is left out and named. Where
no other patch has its tone, the print is out of tolerance until it is read
again.

From the calibration's characteristic curve and UV density it finds by how much
exposure and contrast moved, beside paper and depth of black, which are taken to
differ no more than honest prints do unless the readings say otherwise. That
needs a calibration made with a step tablet; without one, differences alone.

The print is out of tolerance, exit code 4, when its worst patch is. The
tolerance is --tolerance, or the scatter of your own prints (--repeats, three
earlier checks or more), or else 4 L*: honest hand-coated prints differ by 1 to
3.

--against holds the print against another of the same strip or chart instead.
--eye takes the number of the strip's patch from which on all merge with black,
and gives the new time with no instrument: 3 and 4 should merge.
--update writes a calibration with its exposure moved, where exposure alone
changed.

With --json: the check, as its file holds it.`

// checkOptions are the flags of 'check'.
type checkOptions struct {
	calibration string
	chart       string
	corners     numbersFlag
	against     string
	out         string
	update      string
	tolerance   float64
	repeats     []string
	eye         int
	plot        plotFlag
	report      reportFlag
	record      recordFlags
}

// newCheck returns the command that holds a print against its aim.
func newCheck(a *app) *cobra.Command {
	var o checkOptions
	cmd := &cobra.Command{
		Use:   "check READINGS --calibration C",
		Short: "Was the print what was planned, and what to do",
		Long:  checkLong,
		Example: `  actinic check strip.csv --calibration blue.calibration.json --exposure 8m -o may-3.check.json
  actinic check scan.tif --chart check.chart.json --calibration blue.calibration.json
  actinic check print.tif --corners 410,2130,1197,2128,1197,2191,410,2193 --calibration blue.calibration.json
  actinic check strip.csv --against control.csv
  actinic check --eye 4 --exposure 8m --calibration blue.calibration.json
  actinic check strip.csv --calibration blue.calibration.json --exposure 8m --update bluer.calibration.json`,
		Args: func(cmd *cobra.Command, args []string) error { return o.checkArguments(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error { return runCheck(cmd.Context(), a, args, &o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "hold the print against calibration `C`: NAME.calibration.json")
	flags.StringVar(&o.chart, "chart", "", "the print is of `CHART`, NAME.chart.json; READINGS may be a scan of it")
	o.corners = numbersFlag{form: "X,Y,X,Y,X,Y,X,Y", count: 8}
	flags.Var(&o.corners, "corners", "READINGS is a scan of a print with its check strip, ten patches in a row: the row's corners in scan pixels, from its top left clockwise: `X,Y,X,Y,X,Y,X,Y`")
	flags.StringVar(&o.against, "against", "", "hold the print against `OTHER` readings of the same strip or chart")
	flags.StringVarP(&o.out, "output", "o", "", "write the check to `NAME.check.json`, for 'drift'")
	flags.Float64Var(&o.tolerance, "tolerance", 0, "the worst patch may be off by `LSTAR`")
	flags.StringArrayVar(&o.repeats, "repeats", nil, "take the tolerance from the scatter of earlier `CHECKS`, files or a folder; may be repeated")
	flags.IntVar(&o.eye, "eye", 0, "no instrument: `PATCH` is the lightest of the strip that cannot be told from black")
	flags.StringVar(&o.update, "update", "", "write the calibration with its exposure moved to `NEW.calibration.json`")
	flags.Var(&o.plot, "plot", "draw print against aim into `FILE`, .svg or .png")
	addReportFlag(flags, &o.report)
	o.record.add(flags)
	return cmd
}

// checkArguments refuses flags that do not go together.
func (o *checkOptions) checkArguments(cmd *cobra.Command, args []string) error {
	if cmd.Flag("eye").Changed {
		return o.checkEye(cmd, args)
	}
	if err := exactly("READINGS")(cmd, args); err != nil {
		return err
	}
	switch {
	case o.calibration == "" && o.against == "":
		return missingFlag(cmd, "calibration")
	case cmd.Flag("tolerance").Changed && !(o.tolerance > 0 && o.tolerance <= 100):
		return &usageError{where: "--tolerance", what: fmt.Sprintf("%g is not an amount of L*", o.tolerance), hint: "write --tolerance 3, above 0 and up to 100"}
	case o.plot == standardStream:
		return plotNeedsName()
	case o.corners.values != nil && (o.chart != "" || o.against != ""):
		return &usageError{where: "--corners", what: "it is of the one check strip that is read, beside a picture", hint: "leave it out with --chart; with --against, read the strips first"}
	case o.tolerance > 0 && o.repeats != nil:
		return &usageError{where: "--repeats", what: "the tolerance is given already", hint: "leave out --tolerance, or --repeats"}
	case o.update != "" && (o.calibration == "" || o.against != ""):
		return &usageError{where: "--update", what: "another print is no reason to move a calibration", hint: "hold the print against --calibration, without --against"}
	}
	return o.checkStreams(cmd, args)
}

// checkStreams refuses standard input twice.
func (o *checkOptions) checkStreams(cmd *cobra.Command, args []string) error {
	n := 0
	for _, name := range append([]string{o.calibration, o.chart, o.against}, args...) {
		if name == standardStream {
			n++
		}
	}
	if n > 1 {
		return &usageError{where: place(cmd), what: "standard input holds one file", hint: "name files for the others"}
	}
	return nil
}

// checkEye refuses what has no meaning where nothing was measured.
func (o *checkOptions) checkEye(cmd *cobra.Command, args []string) error {
	for _, name := range []string{"chart", "corners", "against", "output", "tolerance", "repeats", "update", "plot", "report"} {
		if cmd.Flag(name).Changed {
			return &usageError{where: "--" + name, what: "it needs readings, and --eye gives none", hint: "measure the strip, or leave it out"}
		}
	}
	if o.calibration == "" {
		return missingFlag(cmd, "calibration")
	}
	return noMoreThan(cmd, args, 0)
}

func runCheck(ctx context.Context, a *app, args []string, o *checkOptions) error {
	rq, err := a.checkRequest(o)
	if err != nil {
		return err
	}
	if len(args) == 0 {
		return a.runCheckEye(o, rq)
	}
	table, notices, err := a.checkReadings(ctx, args[0], o)
	if err != nil {
		return err
	}
	check, err := a.judgeCheck(ctx, table, rq, o)
	if err != nil {
		return err
	}
	check.Warnings = append(check.Warnings, notices...)
	said, err := a.writeCheck(args, check, rq, o)
	if err != nil {
		return err
	}
	if err := a.print(check, func(w io.Writer) error { return checkText(w, check, said) }); err != nil {
		return err
	}
	if check.Inside {
		return nil
	}
	return &toleranceError{file: inputName(args[0]), hint: check.Answer.Text,
		what: fmt.Sprintf("out of tolerance: patch %s is %+.1f L* off, %.1f allowed", check.Worst, check.WorstBy, check.Tolerance.Lstar)}
}

// judgeCheck holds the readings against the calibration, or against another print.
func (a *app) judgeCheck(ctx context.Context, t *measure.Table, rq control.Request, o *checkOptions) (*control.Check, error) {
	if o.against == "" {
		return control.Judge(t, rq)
	}
	other, notices, err := a.checkReadings(ctx, o.against, o)
	if err != nil {
		return nil, err
	}
	if other.SHA256 != "" {
		rq.Inputs = append(rq.Inputs, calibration.Input{Name: other.Name, SHA256: other.SHA256})
	}
	check, err := control.Compare(t, other, rq)
	if err == nil {
		check.Warnings = append(check.Warnings, notices...)
	}
	return check, err
}

// writeCheck writes the files that were asked for and returns what was done to the
// calibration, "" where nothing was.
func (a *app) writeCheck(args []string, check *control.Check, rq control.Request, o *checkOptions) (string, error) {
	jobs := []job{{o.out, textContent, check.Encode},
		a.reportJob(o.report, func() (report.Page, error) { return checkPage(check), nil })}
	if o.plot != "" {
		jobs = append(jobs, plotJob(o.plot, checkFigure(check)))
	}
	said := ""
	if o.update != "" {
		updated, words, err := check.Update(rq.Calibration, rq.Made)
		if err != nil {
			return "", err
		}
		said = filepath.Base(o.update) + ": " + words
		jobs = append(jobs, job{o.update, textContent, updated.Encode})
	}
	inputs := append([]string{}, args...)
	for _, name := range append([]string{o.calibration, o.chart, o.against}, o.repeats...) {
		if name != "" {
			inputs = append(inputs, name)
		}
	}
	return said, a.writeOutputs(inputs, jobs...)
}

// runCheckEye says what an eye makes of the strip.
func (a *app) runCheckEye(o *checkOptions, rq control.Request) error {
	eye, err := control.ReadEye(o.eye, rq.Calibration, rq.Strip, rq.Record)
	if err != nil {
		return err
	}
	return a.print(eye, func(w io.Writer) error { return checkEyeText(w, eye) })
}
