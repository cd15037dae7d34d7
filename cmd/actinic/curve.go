package main

import (
	"io"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/recipe"
	"actinic/process/sensitometry"

	"github.com/spf13/cobra"
)

// curveOptions are the flags of 'curve'.
type curveOptions struct {
	ramps, tablets []string
	steps          stepsFlag
	ink            string
	aim            string
	process        string
	exposure       exposuresFlag
	mismatch       mismatchFlag
	stack          stackFlag
	setup          calibration.Setup
	conditions     conditionsFlags
	plot           plotFlag
	report         reportFlag
	out            string
	keep           bool // unevenness
	keepPrints     bool
}

const curveLong = `Fits paper and ink to the readings of contact prints and writes the calibration
of the setup: the curve from picture tone to film ink, how sure it is, and with
a step tablet the UV density of the ink and the characteristic curve.

--ramp is the reading of a print of the ink ramp (columns patch, ink,
print_lstar or print_density; red, green, blue where the ink is not neutral).
--tablet is the step tablet on the same print. Both may be given several times,
for several prints: the n-th --tablet belongs to the n-th --ramp, and 'none'
stands for a print without one. A ramp alone is enough for a curve; UV density
and exposure scale then stay unknown.

Several prints share their ink; each keeps its own exposure, contrast, paper and
black, and the curve is that of their mean at the exposure of the first. A print
that differs by more than honest prints do is named, with kind and size.
Exposure, contrast, paper and black are taken out. The ramp of a print of
another ink is left out, and so is a print of another paper: the one that the
others speak against, of two the later. --keep-prints keeps them in. With
--exposure for each print their times are held against what the prints show:
twice the time must move the tones by 0.30. Without, all are taken to have had
the same.

A step tablet alone gives a curve with --ink, which takes the UV density of the
ink from another calibration made under the same lamp. The ink may then differ
by 3 % of density (one standard uncertainty) for what another sensitiser sees of
the light: right for lamps of 350 to 385 nm. Between iron salts it is less than
1 %; with lamps of 395 nm and more, between an iron and a silver process, give
--mismatch 5%; daylight is too wide for it. The curve uses no more ink than the
other calibration's did. An inks file that 'opacity' wrote does as well: the
curve is then along its ink blend.

Readings that say where their patches lie (columns x_mm and y_mm, as 'read'
writes them) show how light and coating differ over the sheet, if ink levels
were scattered. This unevenness is told and taken out: the curve is that of an
even sheet with the mean light and coating. --keep-unevenness leaves it in.
Readings that carry a flag are left out.

--aim says which print tone is wanted for each picture tone, between the print's
own black and white: 'lightness' (straight in L*), 'density' (straight in print
density), or 'match:FILE', a CSV table with the columns tone and print_lstar
read from a reference print.

--ink-colour may name the inks file that the chart was made with: the
calibration then takes its ink blend, node for node, after holding it against
the readings.

--report writes a page to read, on a screen or on paper: what was measured, the
figures with their readings and doubt, readings that do not fit, what to do
next, and the files behind it. It is one file and needs nothing else, no network
either.

With --json: one object that sums up the calibration, unevenness and prints
among it; with '-o -' the calibration itself goes to standard output instead.`

// newCurve returns the command that makes a calibration.
func newCurve(a *app) *cobra.Command {
	var o curveOptions
	cmd := &cobra.Command{
		Use:   "curve --ramp R.csv [--tablet T.csv] -o NAME.calibration.json",
		Short: "The calibration of a setup, from readings",
		Long:  curveLong,
		Example: `  actinic curve --ramp ramp.csv --tablet tablet.csv --process cyanotype_classic --exposure 8m -o blue.calibration.json
  actinic curve --ramp one.csv --tablet none --ramp two.csv --tablet tablet.csv -o blue.calibration.json
  actinic curve --ramp one.csv --ramp two.csv --exposure 8m --exposure 16m -o blue.calibration.json
  actinic curve --ramp ramp.csv --tablet tablet.csv -o blue.calibration.json --report blue.html
  actinic curve --tablet tablet.csv --ink blue.calibration.json --process vandyke -o brown.calibration.json`,
		Args: exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error { return runCurve(a, cmd, o) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&o.ramps, "ramp", nil, "readings of an ink ramp, file `R`; may be repeated")
	flags.StringArrayVar(&o.tablets, "tablet", nil, "readings of the step tablet on the same print, file `T` or none; may be repeated")
	flags.Var(&o.steps, "steps", stepsUsage)
	flags.Var(&o.stack, "tablet-stack", "how the tablet lay: `STACK` is over-film, or cut-out, where the film base shows too")
	flags.StringVarP(&o.out, "output", "o", "", "write the calibration to `FILE`, NAME.calibration.json; - is standard output")
	flags.StringVar(&o.aim, "aim", "lightness", "the print tones wanted: `AIM` is lightness, density or match:FILE")
	flags.StringVar(&o.ink, "ink", "", "take the ink's UV density from another calibration or an inks file, file `C`")
	flags.StringVar(&o.process, "process", "", "the process, `NAME` of a card; its cautions go into the file")
	flags.Var(&o.mismatch, "mismatch", "with --ink: how much the ink may differ under this sensitiser, `SHARE` of its UV density (default 3%)")
	flags.Var(&o.exposure, "exposure", exposuresUsage)
	flags.BoolVar(&o.keepPrints, "keep-prints", false, "keep prints that disagree with the others in the calibration")
	flags.BoolVar(&o.keep, "keep-unevenness", false, "leave the unevenness of light and coating in the readings")
	flags.Var(&o.plot, "plot", "draw the curve into `FILE`, .svg or .png")
	addReportFlag(flags, &o.report)
	addSetupFlags(flags, &o.setup)
	o.conditions.add(flags)
	return cmd
}

func runCurve(a *app, cmd *cobra.Command, o curveOptions) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	request, inputs, err := a.curveRequest(&o)
	if err != nil {
		return err
	}
	prints, notices, err := a.readPrints(&o)
	if err != nil {
		return err
	}
	for _, n := range notices {
		a.notice("%s", n)
	}
	if err := a.takeInks(&o, &request, prints); err != nil {
		return err
	}
	estimate, err := calibration.Fit(prints, &calibration.Options{Falling: request.Falling, KeepUnevenness: o.keep, KeepPrints: o.keepPrints})
	if err != nil {
		return err
	}
	c, err := a.build(estimate, &o, request)
	if err != nil {
		return err
	}
	c.Inputs = append(c.Inputs, inputs...)
	result := curveResult{File: o.out, CurveSummary: estimate.Summary(c, len(request.Cautions)), Notices: append([]string{}, notices...)}
	if err := a.writeCurve(&o, estimate, c, result); err != nil {
		return err
	}
	return a.printCurve(&o, result)
}

// curveResult is what 'curve' prints with --json.
type curveResult struct {
	File string `json:"calibration"`
	calibration.CurveSummary
	Notices []string `json:"notices"`
}

// printCurve says what was found. When the calibration itself went to standard
// output, its warnings go to standard error.
func (a *app) printCurve(o *curveOptions, r curveResult) error {
	if o.out != standardStream {
		return a.print(r, func(w io.Writer) error { return curveText(w, r) })
	}
	for _, warning := range r.Warnings {
		a.notice("%s", warning)
	}
	return nil
}

// curveRequest gathers what the calibration is to be, and the files behind it.
func (a *app) curveRequest(o *curveOptions) (calibration.Request, []calibration.Input, error) {
	rq := calibration.Request{Setup: o.setup, Conditions: o.conditions.conditions(), Mismatch: float64(o.mismatch)}
	var inputs []calibration.Input
	var err error
	if rq.Made, err = a.made(); err != nil {
		return rq, nil, err
	}
	x := o.exposure.of(0)
	rq.Exposure, rq.Unit = x.Amount, x.Unit
	if rq.Unit == "" {
		rq.Unit = sensitometry.Seconds
	}
	if o.process != "" {
		var card recipe.Card
		if card, err = findProcess(o.process); err != nil {
			return rq, nil, err
		}
		rq.Setup.Process, rq.Falling, rq.Cautions = card.Name, card.Falling, card.Cautions()
	}
	name, file, _ := strings.Cut(o.aim, ":")
	if rq.Aim, err = calibration.FindAim(name, file); err != nil {
		return rq, nil, err
	}
	for _, name := range []string{file, o.inksFile()} {
		if name != "" && err == nil {
			inputs, err = appendInput(inputs, name)
		}
	}
	return rq, inputs, err
}

// build makes the calibration of an estimate, with its own ink or another's.
func (a *app) build(e *calibration.Estimate, o *curveOptions, rq calibration.Request) (*calibration.Calibration, error) {
	if o.ink == "" {
		return e.Build(rq)
	}
	c, err := a.reuse(e, o.ink, rq)
	if err != nil {
		return nil, err
	}
	c.Inputs, err = appendInput(c.Inputs, o.ink)
	return c, err
}

// reuse makes the calibration of an estimate with the ink of another calibration,
// or of an inks file.
func (a *app) reuse(e *calibration.Estimate, ink string, rq calibration.Request) (*calibration.Calibration, error) {
	if isInksFile(ink) {
		k, err := a.readInks(ink)
		if err != nil {
			return nil, err
		}
		c, err := e.ReuseInks(k, rq)
		return c, fault.InFile(err, inputName(ink))
	}
	other, err := a.readCalibration(ink)
	if err != nil {
		return nil, err
	}
	if other.Ink.UVDensity == nil {
		return nil, noTabletFault(ink, "--ink")
	}
	return e.Reuse(other, rq)
}

// writeCurve writes the calibration, its plot and its report.
func (a *app) writeCurve(o *curveOptions, e *calibration.Estimate, c *calibration.Calibration, r curveResult) error {
	return a.writeOutputs(o.inputs(), job{o.out, textContent, c.Encode}, plotJob(o.plot, curveFigure(c)),
		a.reportJob(o.report, func() (report.Page, error) { return curvePage(e, c, r) }))
}

// inputs are the names of all files that the command reads.
func (o *curveOptions) inputs() []string {
	_, aimFile, _ := strings.Cut(o.aim, ":")
	var names []string
	for _, name := range append(append([]string{o.ink, aimFile, o.inksFile()}, o.ramps...), o.tablets...) {
		if name != "" && name != noTablet {
			names = append(names, name)
		}
	}
	return names
}

// inksFile is the inks file that --ink-colour names, "" where it is free text.
func (o *curveOptions) inksFile() string {
	if isInksFile(o.setup.InkColour) {
		return o.setup.InkColour
	}
	return ""
}

// readPrints reads the readings of every print, and what was taken for granted.
func (a *app) readPrints(o *curveOptions) ([]calibration.Print, []string, error) {
	var notices []string
	read := func(names []string, i int) (*measure.Table, error) {
		if i >= len(names) || names[i] == noTablet {
			return nil, nil
		}
		t, err := a.readReadings(names[i], &measure.Options{Steps: string(o.steps)})
		if err == nil {
			notices = append(notices, noticesOf(t)...)
		}
		return t, err
	}
	prints := make([]calibration.Print, max(len(o.ramps), len(o.tablets)))
	for i := range prints {
		var err error
		if prints[i].Ramp, err = read(o.ramps, i); err != nil {
			return nil, nil, err
		}
		if prints[i].Tablet, err = read(o.tablets, i); err != nil {
			return nil, nil, err
		}
		prints[i].CutOut = o.stack == cutOut
		prints[i].Exposure = o.exposure.of(i).Amount
	}
	return prints, notices, nil
}

func noticesOf(t *measure.Table) []string {
	var out []string
	for _, n := range t.Notices {
		out = append(out, t.Name+": "+n)
	}
	return out
}
