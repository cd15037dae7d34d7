package main

import (
	"context"
	"io"

	"actinic/examples"
	"actinic/negative/raster"
	"actinic/negative/scan"
	"actinic/process/tablet"
)

// draw does what 'chart ramp' does.
func (d *demo) draw(ctx context.Context) error {
	o := newChartOptions()
	o.levels, o.repeats = usualLevels, usualRepeats
	request, err := d.chartRequest(&o)
	if err != nil {
		return err
	}
	if d.chart, err = o.ramp(nil, request); err != nil {
		return err
	}
	d.result.Patches = len(d.chart.Pages[0].Patches)
	jobs, err := d.chartJobs(ctx, demoChart, request, d.chart)
	if err != nil {
		return err
	}
	return d.save(nil, jobs...)
}

// contact prints the chart's film in the virtual darkroom and scans the print.
func (d *demo) contact(ctx context.Context) error {
	film, err := raster.Open(d.path(demoChart + ".tif"))
	if err != nil {
		return err
	}
	defer film.Close()
	glass, err := examples.Scan(ctx, film, d.chart.Pages[0])
	if err != nil {
		return err
	}
	defer glass.Close()
	return d.save(nil, job{demoScan, binaryContent, func(w io.Writer) error {
		sink, err := raster.NewPNG(w, glass.Header(), &raster.PNGOptions{SRGB: true})
		if err != nil {
			return err
		}
		defer sink.Abort()
		if err := raster.Copy(ctx, sink, glass); err != nil {
			return err
		}
		return sink.Commit()
	}})
}

// scanned does what 'read' does, with the picture of what was found.
func (d *demo) scanned(ctx context.Context) error {
	c, err := d.readChart(d.path(demoChart + ".chart.json"))
	if err != nil {
		return err
	}
	strip, err := tablet.Parse(usualTablet)
	if err != nil {
		return err
	}
	r, err := scan.Read(ctx, scanInputs([]string{d.path(demoScan)}), c, &scan.Options{Tablet: &strip})
	if err != nil {
		return err
	}
	o := readOptions{out: demoRamp}
	result := newReadResult([]string{d.path(demoScan)}, c, &o)
	jobs, err := result.tables(r, &o)
	if err != nil {
		return err
	}
	return d.save(nil, append(jobs, job{demoFound, binaryContent, r.WritePicture})...)
}
