package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"

	"github.com/spf13/cobra"
)

// exportOptions are the flags of 'export'.
type exportOptions struct {
	calibration string
	csv         string
	table       string
	icc         string
	link        string
	greyICC     string
	coding      codingFlag
	plot        plotFlag
	figure      figureFlag
}

// newExport returns the command that gives a calibration to other programs.
func newExport(a *app) *cobra.Command {
	o := exportOptions{coding: codingSRGB, figure: figureCurve}
	cmd := &cobra.Command{
		Use:     "export --calibration C",
		Short:   "The curve for other programs: ICC, tables, plots",
		Long:    exportHelp,
		Example: exportExample,
		Args:    exactly(),
		RunE:    func(cmd *cobra.Command, _ []string) error { return runExport(a, cmd, o) },
	}
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "the calibration of the setup, file `C`")
	flags.StringVar(&o.link, "link", "", "write an ICC device link from grey to film to `FILE`")
	flags.StringVar(&o.greyICC, "grey-icc", "", "write the ICC profile of the grey that link and table take to `FILE`")
	flags.Var(&o.coding, "coding", "how that grey is `CODED`: srgb or lstar")
	flags.StringVar(&o.icc, "icc", "", "write an ICC profile of the film to `FILE`; read the help first")
	flags.StringVar(&o.table, "table", "", "write the film's values for 4096 greys to `FILE`")
	flags.StringVar(&o.csv, "csv", "", "write the calibration's curve as a table to `FILE`")
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

// exported is what 'export' prints with --json.
type exported struct {
	Calibration string                 `json:"calibration"`
	Files       []string               `json:"files"`
	Curve       calibration.Nodes      `json:"curve"`
	Path        []calibration.PathNode `json:"path"`
}

func runExport(a *app, cmd *cobra.Command, o exportOptions) error {
	if err := o.check(cmd, a.global.json); err != nil {
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
	result := exported{Calibration: o.calibration, Files: []string{}, Curve: c.Curve, Path: c.Ink.Path}
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

// check refuses flags of 'export' that do not go together. With --json the curve is
// on standard output.
func (o *exportOptions) check(cmd *cobra.Command, json bool) error {
	if o.calibration == "" {
		return missingFlag(cmd, "calibration")
	}
	empty := func(n string) bool { return n == "" }
	names := slices.DeleteFunc([]string{o.csv, o.table, o.icc, o.link, o.greyICC, string(o.plot)}, empty)
	streams := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return n != standardStream })
	switch {
	case len(names) == 0 && !json:
		return &usageError{where: place(cmd), what: "nothing to write", hint: "add --link, --grey-icc, --icc, --table, --csv or --plot with a FILE, or --json"}
	case len(streams) > 1 || len(streams) == 1 && (len(names) > 1 || json):
		return &usageError{where: place(cmd), what: "standard output takes one thing at a time", hint: "give files, or one '-' alone"}
	case changed(cmd, "coding") && o.link == "" && o.greyICC == "" && o.table == "":
		return &usageError{where: "--coding", what: "it belongs to --link, --grey-icc and --table", hint: "add one of them, or leave it out"}
	}
	return nil
}

// jobs are the outputs that the flags ask for.
func (o *exportOptions) jobs(c *calibration.Calibration) ([]job, error) {
	jobs := []job{{o.csv, textContent, c.WriteCurveCSV}}
	profiles, err := o.profileJobs(c)
	if err != nil {
		return nil, err
	}
	jobs = append(jobs, profiles...)
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
