package main

import (
	"context"

	"actinic/negative/chart"
	"actinic/process/nextchart"

	"github.com/spf13/cobra"
)

const chartNextLong = `A further chart with patches where the first left most doubt. With --calibration
these are levels of the ink ramp: those that narrow the band of the print's
tones most, given what is known, the noise of a reading, and that the next print
will differ a little from the last in exposure, paper, black and contrast. With
--inks they are printer colours, along the ways to the best ink colours.

The command says how wide the band is now and how wide it will be, and when the
chart is not worth a sheet of film: when the eye would not see what is in doubt,
or when the band gets narrower by less than a tenth. It writes the chart all the
same.

Print it with the step tablet, 'read' it, and give both prints to 'curve', the
first one first, or both to 'opacity'.

With --json: what all charts print, and "ink" or "colours" (what was chosen),
"band_before", "band_after" ("average_lstar", "largest_lstar": 95 % of tones lie
within +- these), "print_scatter_lstar", "worth", "why".`

// chartNext are the flags of 'chart next' beside those of all charts.
type chartNext struct {
	chartOptions
	inks string
}

func newChartNext(a *app) *cobra.Command {
	o := chartNext{chartOptions: newChartOptions()}
	cmd := chartCommand(a, &o.chartOptions, &cobra.Command{
		Use:   "next {--calibration C | --inks F} -o STEM",
		Short: "A further chart, with patches where the first left doubt",
		Long:  chartNextLong,
		Example: `  actinic chart next --calibration blue.calibration.json -o second
  actinic chart next --calibration blue.calibration.json --patches 40 --film A5 -o few
  actinic chart next --inks blue.inks.json -o colours2`,
	}, nil)
	flags := cmd.Flags()
	flags.StringVar(&o.calibration, "calibration", "", "levels of the ink ramp of the calibration in file `C`")
	flags.StringVar(&o.inks, "inks", "", "printer colours for the inks in file `F`, NAME.inks.json")
	flags.IntVar(&o.patches, "patches", 0, "`N` patches, from 1 to 5000; without it as many as a print had so far")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return runChartNext(cmd.Context(), a, cmd, &o) }
	return cmd
}

func (o *chartNext) check(cmd *cobra.Command) error {
	if err := o.checkFlags(cmd); err != nil {
		return err
	}
	switch {
	case o.calibration == "" && o.inks == "":
		return &usageError{where: "--calibration", what: "nothing says what the first chart left in doubt",
			hint: "give --calibration C for levels of the ink ramp, or --inks F for printer colours"}
	case o.calibration != "" && o.inks != "":
		return &usageError{where: "--inks", what: "a chart shows levels of one ink ramp or printer colours, not both", hint: "leave out one of --calibration and --inks"}
	case changed(cmd, "patches") && o.patches < 1:
		return &usageError{where: "--patches", what: "expected 1 or more", hint: "leave it out for as many as a print had so far"}
	}
	return nil
}

func runChartNext(ctx context.Context, a *app, cmd *cobra.Command, o *chartNext) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	o.ink.file = o.inks
	r, err := a.chartRequest(&o.chartOptions)
	if err != nil {
		return err
	}
	var c *chart.Chart
	var result nextCharted
	if o.inks != "" {
		c, err = o.nextColours(r, &result)
	} else {
		c, err = o.nextLevels(r, &result)
	}
	if err != nil {
		return err
	}
	r.notices = append(r.notices, c.Notices...)
	jobs, err := a.chartJobs(ctx, o.out, r, c)
	if err != nil {
		return err
	}
	if err := a.writeOutputs(o.inputs(), jobs...); err != nil {
		return err
	}
	result.charted = a.chartedOf(r, c, jobs)
	return a.printNext(result, r.caution)
}

// nextLevels lays out the ramp chart of the levels chosen. Where the film has no
// room for a tablet, the levels are chosen once more without one.
func (o *chartNext) nextLevels(r *chartRequest, result *nextCharted) (*chart.Chart, error) {
	belief, err := nextchart.BeliefOf(r.known, inputName(o.calibration))
	if err != nil {
		return nil, err
	}
	n := o.patches
	if n == 0 {
		n = belief.ReadingsAPrint()
	}
	opts := nextchart.LevelOptions{Codes: r.sheet.Codes(r.device()), Always: chart.ShownAlways(), NoTablet: o.window.None}
	for {
		if result.levels, err = nextchart.Levels(belief, n, opts); err != nil {
			return nil, asUsage(err)
		}
		c, err := chart.NewRamp(chart.RampOptions{Sheet: r.sheet, Device: r.device(), Inks: result.levels.Ink})
		if err != nil || opts.NoTablet || c.Pages[0].TabletWindow != nil {
			return c, asUsage(err)
		}
		opts.NoTablet = true
	}
}

// nextColours lays out the chart of the printer colours chosen.
func (o *chartNext) nextColours(r *chartRequest, result *nextCharted) (*chart.Chart, error) {
	n := o.patches
	if n == 0 {
		n = max(1, r.inks.Quality.Readings/max(1, len(r.inks.Exposure.Prints)))
	}
	var err error
	if result.colours, err = nextchart.Colours(r.inks, n, inputName(o.inks)); err != nil {
		return nil, err
	}
	opts := chart.ColoursOptions{Sheet: r.inked()}
	for _, c := range result.colours.Colours {
		opts.Colours = append(opts.Colours, c)
	}
	c, err := chart.NewColours(opts)
	return c, asUsage(err)
}
