package main

import (
	"io"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/printer"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// opacityOptions are the flags of 'opacity'.
type opacityOptions struct {
	readings, tablets, exposures []string
	steps                        stepsFlag
	stack                        stackFlag
	process                      string
	needed                       rangeFlag
	colour                       pickedFlag
	blend                        string
	top                          int
	keep                         bool // unevenness
	spectral                     spectralOptions
	setup                        calibration.Setup
	plot, blendPlot              plotFlag
	report                       reportFlag
	out                          string
}

var opacityLong = `Finds how much ultraviolet each printer colour stops on film, as your sensitiser
under your lamp sees it, and which of them serves best as ink colour. What an
ink looks like says little about it.

READINGS are those of a contact print of 'chart colours' (columns patch, red,
green, blue, print_lstar or print_density), --tablet those of the step tablet on
the same print; 'actinic read' writes both. Several prints may be given, at the
same exposure or at several: the n-th --tablet and the n-th --exposure belong to
the n-th READINGS, and a colour too dark in one print is read from another.
Colours beyond the reach of all prints are told as "at least" or "at most":
print the film again with four times the exposure and give both prints. The
chart's marks must stay light in that print, too; where black ink stops little,
draw them in a dense colour ('chart colours --ink-colour').

Colours are ranked by the needed range: --range, or that of the tablet. Where
the tablet does not reach from paper white to black, it is the longer of what
paper white needs at the exposure given and the longest exposure scale on the
card of --process.

Their order is that of merit, 100 less
  - ` + strings.Join(printer.MeritRule, "\n  - ") + `

-o writes the colours, the ranking, the ink colour and the ink blend to a file
that 'chart ramp --ink-colour' takes. The ink blend is a way through the
printer's colours, from clear film to the ink colour, along which UV density
rises evenly; --blend straight keeps the straight line.

--spectra predicts UV density from transmittances (0 to 1) that a spectrometer
measured: a column wavelength_nm and one for each sample, with --lamp and
--sensitiser built in or from a file of their own (wavelength_nm and one column,
power or answer per unit of power, in any unit). The built-in ones are
approximate: 'actinic opacity --lamp list --sensitiser list' shows them with
their sources. A prediction is told with what similar lamps and sensitisers
would give. A print decides: with READINGS, samples named as patches (C7) or by
code values ("255,200,0") are held against it. --film-sample names the column of
clear film, where samples are ink on film; --film-spectra gives clear film
measured apart, where samples were measured against clear film.

UV harms eyes and skin: mind the cautions on the process card.

With --json: one object. With prints: "inks" (the file), "prints", "readings",
"colours", "colours_read" (within reach), "reach_from" and "reach_to" (UV
density), "needed_range", "ink_colour", "ranking" (the best --top), "densest"
(the --top densest), "shortfall" (0 where a colour reaches the range), "blend"
(nodes and gradation before and after), "model", "unevenness", "outliers",
"advice", "warnings", "cautions", "notices". With --spectra: "spectral". What
was not asked for is null or empty. With '-o -' the file itself goes to standard
output instead.`

// newOpacity returns the command that finds the UV density of ink colours.
func newOpacity(a *app) *cobra.Command {
	o := opacityOptions{blend: blendEven, top: usualTop}
	cmd := &cobra.Command{
		Use:   "opacity READINGS... --tablet T.csv [-o NAME.inks.json]",
		Short: "UV density of ink colours, the ink colour and the ink blend",
		Long:  opacityLong,
		Example: `  actinic opacity colours.csv --tablet colours.tablet.csv -o blue.inks.json
  actinic opacity short.csv long.csv --tablet short.tablet.csv --tablet long.tablet.csv --exposure 8m --exposure 32m
  actinic opacity colours.csv --tablet colours.tablet.csv -o blue.inks.json --report inks.html
  actinic opacity --spectra inks.csv --lamp led:365 --sensitiser citrate --film-sample clear`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.readings = args
			return runOpacity(a, cmd, &o)
		},
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&o.tablets, "tablet", nil, "readings of the step tablet on the same print, file `T`; one for each READINGS")
	flags.Var(&o.steps, "steps", stepsUsage)
	flags.Var(&o.stack, "tablet-stack", "how the tablet lay: `STACK` is over-film, or cut-out, where the film base shows too")
	flags.StringArrayVar(&o.exposures, "exposure", nil, exposureUsage+"; one for each READINGS")
	flags.StringVarP(&o.out, "output", "o", "", "write colours, ranking and blend to `FILE`, NAME.inks.json; - is standard output")
	flags.StringVar(&o.process, "process", "", "the process, `NAME` of a card; its cautions go into the file")
	flags.Var(&o.needed, "range", "rank by a needed range of `LOG10`, as 1.8, instead of the tablet's")
	flags.Var(&o.colour, "colour", "choose the ink colour `R,G,B` yourself, each 0 to 255")
	flags.StringVar(&o.blend, "blend", blendEven, "the way to the ink colour: `WAY` is even, its ink blend, or straight")
	flags.IntVar(&o.top, "top", usualTop, "show the `N` best colours")
	flags.BoolVar(&o.keep, "keep-unevenness", false, "leave the unevenness of light and coating in the readings")
	flags.Var(&o.plot, "plot", "draw the ranked colours into `FILE`, .svg or .png")
	flags.Var(&o.blendPlot, "blend-plot", "draw UV density along ink blend and straight line into `FILE`, .svg or .png")
	addReportFlag(flags, &o.report)
	o.spectral.addFlags(flags)
	addSetupBut(flags, &o.setup, "lamp", "ink-colour")
	return cmd
}

// usualTop is how many colours a table on the screen shows.
const usualTop = 10

// The ways of --blend.
const (
	blendEven     = "even"
	blendStraight = "straight"
)

// addSetupBut adds the flags of a setup, but for some that the command has of its
// own.
func addSetupBut(flags *pflag.FlagSet, s *calibration.Setup, but ...string) {
	all := pflag.NewFlagSet("", pflag.ContinueOnError)
	all.SortFlags = false
	addSetupFlags(all, s)
	all.VisitAll(func(f *pflag.Flag) {
		for _, name := range but {
			if f.Name == name {
				return
			}
		}
		flags.AddFlag(f)
	})
}

func runOpacity(a *app, cmd *cobra.Command, o *opacityOptions) error {
	if o.spectral.lists() {
		return o.printLists(a)
	}
	if err := o.check(cmd); err != nil {
		return err
	}
	var result opacityResult
	var err error
	if o.spectral.spectra != "" {
		if result.Spectral, err = a.predictSpectra(&o.spectral); err != nil {
			return err
		}
		result.Notices = append(result.Notices, result.Spectral.Notices...)
	}
	var inks *calibration.Inks
	if len(o.readings) > 0 {
		if inks, err = a.findInks(o, &result); err != nil {
			return err
		}
		if err := a.writeInks(o, inks, &result); err != nil {
			return err
		}
	}
	for _, n := range result.Notices {
		a.notice("%s", n)
	}
	result.emptyLists()
	return a.printOpacity(o, &result)
}

// writeInks writes the file of inks, its plots and its report.
func (a *app) writeInks(o *opacityOptions, inks *calibration.Inks, r *opacityResult) error {
	jobs := []job{{o.out, textContent, inks.Encode}}
	if o.plot != "" {
		jobs = append(jobs, plotJob(o.plot, r.rankingFigure()))
	}
	if o.blendPlot != "" {
		figure, err := blendFigure(inks)
		if err != nil {
			return err
		}
		jobs = append(jobs, plotJob(o.blendPlot, figure))
	}
	jobs = append(jobs, a.reportJob(o.report, func() (report.Page, error) { return r.opacityPage(inks) }))
	return a.writeOutputs(o.inputs(), jobs...)
}

// printOpacity says what was found. When the inks themselves went to standard
// output, what to mind goes to standard error.
func (a *app) printOpacity(o *opacityOptions, r *opacityResult) error {
	if o.out != standardStream {
		return a.print(r, func(w io.Writer) error { return opacityText(w, r) })
	}
	for _, warning := range r.Warnings {
		a.notice("%s", warning)
	}
	return nil
}
