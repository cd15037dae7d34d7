package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"actinic/negative/profile"
	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/fault"

	"github.com/spf13/cobra"
)

// exportOptions are the flags of 'export'.
type exportOptions struct {
	calibration string
	csv         string
	icc         string
	icckind     iccFlag
	plot        plotFlag
	figure      figureFlag
}

// newExport returns the command that gives a calibration to other programs.
func newExport(a *app) *cobra.Command {
	o := exportOptions{icckind: iccPrinter, figure: figureCurve}
	cmd := &cobra.Command{
		Use:   "export --calibration C",
		Short: "A calibration as table, plot or ICC profile",
		Long: `Writes what a calibration holds in forms that other programs read. At least one
of --csv, --icc, --plot is needed; one of them may be '-', standard output.

--csv is the curve: tone, ink, aim_lstar, tone_sd, print_sd and, with a step
tablet, uv_density.

--icc is for colour-managed programs (neutral ink ramps only). Of the kinds,
'link' is exact and simplest: convert the picture to grey coded in L* (the
profile of kind 'tone', relative colorimetric, black point compensation off,
16 bits), then apply the device link of kind 'link'. That is the negative: do
not invert it. Kind 'printer' is one grey profile whose values are film ink:
convert the picture to it in the same way, then invert the values. In either
case mirror the film, and print with colour management off. 'actinic negative'
is exact and needs none of this.

--plot draws one figure: the curve, the print to expect, the UV density of the
ink or the characteristic curve, as --figure says.

With --json: {"calibration", "files"}.`,
		Example: `  actinic export --calibration blue.calibration.json --csv curve.csv --plot curve.svg
  actinic export --calibration blue.calibration.json --icc film.icc --icc-kind link
  actinic export --calibration blue.calibration.json --figure print --plot print.png`,
		Args: exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error { return runExport(a, cmd, o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "the calibration of the setup, file `C`")
	flags.StringVar(&o.csv, "csv", "", "write the curve as a table to `FILE`")
	flags.StringVar(&o.icc, "icc", "", "write an ICC profile to `FILE`")
	flags.Var(&o.icckind, "icc-kind", "`KIND` of ICC profile: printer, link or tone")
	flags.Var(&o.plot, "plot", "draw a figure into `FILE`, .svg or .png")
	flags.Var(&o.figure, "figure", "which `FIGURE`: curve, print, uv-density or characteristic")
	return cmd
}

// choiceFlag is a flag that takes one of a few words.
type choiceFlag struct {
	to    *string
	words []string
}

func (f choiceFlag) set(text string) error {
	if !slices.Contains(f.words, text) {
		return errors.New("expected " + strings.Join(f.words, ", "))
	}
	*f.to = text
	return nil
}

// figureFlag names a figure of a calibration.
type figureFlag string

const (
	figureCurve          figureFlag = "curve"
	figurePrint          figureFlag = "print"
	figureUVDensity      figureFlag = "uv-density"
	figureCharacteristic figureFlag = "characteristic"
)

func (f *figureFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{"curve", "print", "uv-density", "characteristic"}}.set(text)
}
func (f *figureFlag) String() string { return string(*f) }
func (f *figureFlag) Type() string   { return "FIGURE" }

// iccFlag names a kind of ICC profile.
type iccFlag string

const (
	iccPrinter iccFlag = "printer"
	iccLink    iccFlag = "link"
	iccTone    iccFlag = "tone"
)

func (f *iccFlag) Set(text string) error {
	return choiceFlag{(*string)(f), []string{"printer", "link", "tone"}}.set(text)
}
func (f *iccFlag) String() string { return string(*f) }
func (f *iccFlag) Type() string   { return "KIND" }

// exported is what 'export' prints with --json.
type exported struct {
	Calibration string   `json:"calibration"`
	Files       []string `json:"files"`
}

func runExport(a *app, cmd *cobra.Command, o exportOptions) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	c, err := a.readCalibration(o.calibration)
	if err != nil {
		return err
	}
	jobs, err := o.jobs(c)
	if err != nil {
		return err
	}
	if err := a.writeOutputs([]string{o.calibration}, jobs...); err != nil {
		return err
	}
	result := exported{Calibration: o.calibration, Files: []string{}}
	for _, j := range jobs {
		if j.name == standardStream {
			return nil
		}
		if j.name != "" {
			result.Files = append(result.Files, j.name)
		}
	}
	return a.print(result, func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "Wrote %s\n", strings.Join(result.Files, ", "))
		return err
	})
}

// check refuses flags of 'export' that do not go together.
func (o *exportOptions) check(cmd *cobra.Command) error {
	if o.calibration == "" {
		return missingFlag(cmd, "calibration")
	}
	names := slices.DeleteFunc([]string{o.csv, o.icc, string(o.plot)}, func(n string) bool { return n == "" })
	streams := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n != standardStream })
	switch {
	case len(names) == 0:
		return &usageError{where: place(cmd), what: "nothing to write", hint: "add --csv FILE, --icc FILE or --plot FILE"}
	case len(streams) > 1 || len(streams) == 1 && len(names) > 1:
		return &usageError{where: place(cmd), what: "standard output takes one thing at a time", hint: "give files, or one '-' alone"}
	}
	return nil
}

// jobs are the outputs that the flags ask for.
func (o *exportOptions) jobs(c *calibration.Calibration) ([]job, error) {
	var jobs []job
	if o.csv != "" {
		jobs = append(jobs, job{o.csv, textContent, c.WriteCurveCSV})
	}
	if o.icc != "" {
		write, err := o.profile(c)
		if err != nil {
			return nil, err
		}
		jobs = append(jobs, job{o.icc, binaryContent, write})
	}
	if o.plot != "" {
		figure, err := o.draw(c)
		if err != nil {
			return nil, err
		}
		jobs = append(jobs, plotJob(o.plot, figure))
	}
	return jobs, nil
}

// draw returns the figure that was asked for.
func (o *exportOptions) draw(c *calibration.Calibration) (report.Figure, error) {
	if c.Characteristic == nil && (o.figure == figureUVDensity || o.figure == figureCharacteristic) {
		return report.Figure{}, noTabletFault(o.calibration, "--figure "+string(o.figure))
	}
	switch o.figure {
	case figurePrint:
		return printFigure(c)
	case figureUVDensity:
		return uvDensityFigure(c), nil
	case figureCharacteristic:
		return paperFigure(c), nil
	}
	return curveFigure(c), nil
}

// profile returns what writes the ICC profile.
func (o *exportOptions) profile(c *calibration.Calibration) (func(io.Writer) error, error) {
	k, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	if !k.Neutral() {
		return nil, notNeutralFault(o.calibration)
	}
	if c.Curve.Ink[0] > c.Curve.Ink[len(c.Curve.Ink)-1] {
		return nil, fault.New(o.calibration, "", "film ink falls as tone rises (a positive-working process), which no such profile holds",
			"use --csv, or make the films with 'actinic negative'")
	}
	p := profile.GreyProfile{Description: "actinic: " + filepath.Base(o.calibration), Copyright: "No copyright, use freely", Ink: k.Darkness, Created: c.Made}
	write := map[iccFlag]func(io.Writer, profile.GreyProfile) error{
		iccPrinter: profile.WriteGrey, iccLink: profile.WriteLink, iccTone: profile.WriteTone}[o.icckind]
	return func(w io.Writer) error { return write(w, p) }, nil
}
