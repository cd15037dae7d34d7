package main

import (
	"context"

	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/negative/scan"

	"github.com/spf13/cobra"
)

const readLong = `Reads the print of a chart from scans of it: finds the marks and the code,
whichever way the print lies, and reads each patch and the steps of a step
tablet in the window.

SCAN is a TIFF, PNG or JPEG of 150 to 1200 ppi, 16 bits if you can, with
automatic contrast, sharpening and dust removal off. Scan the whole sheet. A
chart of several pages needs a scan of each, in any order. A second scan of a
page, turned by 180 degrees, is averaged with the first: that evens out the
scanner's light.

Values are taken as the scan's embedded profile says, else as sRGB; --linear
takes them as light itself. --scale calibrates them by a grey scale of known
densities in the same scan: a CSV file with the columns patch and print_density,
and where the patches lie on the page x_mm, y_mm (middles), width_mm and
height_mm; or give the rectangle around the scale with --scale-at.

R.csv holds the patches, with L* of the mean reflectance, its doubt (sd), the
spread of the pixels, and a flag where a patch is not to be trusted. The step
tablet goes to R.tablet.csv: name the tablet with --steps, and its densities are
written too. Patches of fixed printer values on a ramp go to R.fixed.csv.

Readings of an instrument, as CSV or ISO 28178 text, are taken in place of
scans: they are matched to the chart by the names of the patches.

With --json: {"inputs", "chart", "kind", "output", "tablet_output",
"fixed_output", "show", "pages", "patches", "steps", "missing", "flagged",
"notices"}.`

// newRead returns the command that reads the print of a chart.
func newRead(a *app) *cobra.Command {
	var o readOptions
	cmd := &cobra.Command{
		Use:   "read SCAN... --chart CHART -o R.csv",
		Short: "Readings from scans of a chart's print",
		Long:  readLong,
		Example: `  actinic read scan.tif --chart ramp.chart.json --steps 21x0.15+0.05 -o ramp.csv
  actinic read page-b.tif page-a.tif --chart colours.chart.json -o colours.csv
  actinic read scan.tif --chart ramp.chart.json --show found.png -o ramp.csv
  actinic read spot-readings.csv --chart ramp.chart.json -o ramp.csv`,
		Args: atLeastOne("SCAN"),
		RunE: func(cmd *cobra.Command, args []string) error { return runRead(cmd.Context(), a, cmd, args, &o) },
	}
	o.add(cmd.Flags())
	return cmd
}

func runRead(ctx context.Context, a *app, cmd *cobra.Command, args []string, o *readOptions) error {
	if err := o.check(cmd, args); err != nil {
		return err
	}
	c, err := a.readChart(o.chart)
	if err != nil {
		return err
	}
	instrument, err := a.isReadings(args)
	if err != nil {
		return err
	}
	if instrument {
		return a.readInstrument(cmd, args, c, o)
	}
	opts, err := a.scanOptions(o)
	if err != nil {
		return err
	}
	r, err := scan.Read(ctx, scanInputs(args), c, opts)
	if err != nil {
		return err
	}
	return a.writeScan(args, r, o)
}

// readChart reads a chart that the user named; "-" is standard input.
func (a *app) readChart(name string) (*chart.Chart, error) {
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return chart.Decode(in, inputName(name))
}

func scanInputs(names []string) []scan.Input {
	var inputs []scan.Input
	for _, name := range names {
		inputs = append(inputs, scan.Input{Name: name, Open: func() (raster.Source, error) { return raster.Open(name) }})
	}
	return inputs
}
