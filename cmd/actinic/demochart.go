package main

import (
	"context"
	"io"

	"actinic/examples"
	"actinic/negative/chart"
	"actinic/negative/raster"
	"actinic/negative/scan"
	"actinic/process/tablet"
)

// demoPrint is one chart of the demo: printed on a sheet, scanned, read. All its
// names are those of files in the folder.
type demoPrint struct {
	stem  string // of the chart
	scan  string
	found string // picture of what was read; "" for none
	sheet examples.Sheet

	readings, tablet string
}

var (
	demoFirst   = demoPrint{"ramp", "scan.png", "scan-read.png", examples.FirstSheet, "ramp.csv", "ramp.tablet.csv"}
	demoSecond  = demoPrint{"second", "second-scan.png", "", examples.SecondSheet, "second.csv", "second.tablet.csv"}
	demoColours = demoPrint{"colours", "colours-scan.png", "", examples.ColoursSheet, "colours.csv", "colours.tablet.csv"}
)

// draw does what 'chart ramp' does.
func (d *demo) draw(ctx context.Context) error {
	o := newChartOptions()
	o.levels, o.repeats = usualLevels, usualRepeats
	request, err := d.chartRequest(&o)
	if err != nil {
		return err
	}
	c, err := o.ramp(nil, request)
	if err != nil {
		return err
	}
	d.result.Patches = len(c.Pages[0].Patches)
	return d.printed(ctx, demoFirst, request, c)
}

// printed writes the chart's files, prints its film, scans the print and reads the
// scan.
func (d *demo) printed(ctx context.Context, p demoPrint, request *chartRequest, c *chart.Chart) error {
	jobs, err := d.chartJobs(ctx, p.stem, request, c)
	if err != nil {
		return err
	}
	if err := d.save(nil, jobs...); err != nil {
		return err
	}
	if err := d.contact(ctx, p, c.Pages[0]); err != nil {
		return err
	}
	return d.scanned(ctx, p)
}

// contact prints the chart's film in the virtual darkroom and scans the print.
func (d *demo) contact(ctx context.Context, p demoPrint, page chart.Page) error {
	film, err := raster.Open(d.path(p.stem + ".tif"))
	if err != nil {
		return err
	}
	defer film.Close()
	glass, err := examples.Scan(ctx, film, page, p.sheet)
	if err != nil {
		return err
	}
	defer glass.Close()
	return d.save(nil, job{p.scan, binaryContent, func(w io.Writer) error {
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
func (d *demo) scanned(ctx context.Context, p demoPrint) error {
	c, err := d.readChart(d.path(p.stem + ".chart.json"))
	if err != nil {
		return err
	}
	strip, err := tablet.Parse(usualTablet)
	if err != nil {
		return err
	}
	r, err := scan.Read(ctx, scanInputs([]string{d.path(p.scan)}), c, &scan.Options{Tablet: &strip})
	if err != nil {
		return err
	}
	o := readOptions{out: p.readings}
	result := newReadResult([]string{d.path(p.scan)}, c, &o)
	jobs, err := result.tables(r, &o)
	if err != nil {
		return err
	}
	if p.found != "" {
		jobs = append(jobs, job{p.found, binaryContent, r.WritePicture})
	}
	return d.save(nil, jobs...)
}
