package main

import (
	"context"

	"actinic/process/calibration"
	"actinic/process/nextchart"
	"actinic/process/printer"
)

// demoInksResult is what the ink colours came to, and the neutral ramp beside them.
type demoInksResult struct {
	opacityResult
	Neutral printer.Gradation `json:"neutral"`
}

// demoSecondResult is the second chart and what it left of the doubt.
type demoSecondResult struct {
	Patches int             `json:"patches"`
	Plan    *nextchart.Plan `json:"plan"`
	Curve   curveResult     `json:"calibration"` // of both prints
}

// second does what 'chart next' does, prints and reads that chart, and makes the
// calibration of both prints.
func (d *demo) second(ctx context.Context) error {
	o := chartNext{chartOptions: newChartOptions()}
	o.calibration = d.path(demoCalibration)
	request, err := d.chartRequest(&o.chartOptions)
	if err != nil {
		return err
	}
	var chosen nextCharted
	c, err := o.nextLevels(request, &chosen)
	if err != nil {
		return err
	}
	if err := d.printed(ctx, demoSecond, request, c); err != nil {
		return err
	}
	fit, err := d.fit(demoBoth, demoFirst, demoSecond)
	if err != nil {
		return err
	}
	d.result.Second = demoSecondResult{Patches: len(c.Pages[0].Patches), Plan: chosen.levels, Curve: fit.result}
	return d.save(fit.inputs, job{demoBoth, textContent, fit.calibration.Encode})
}

// inkColours does what 'chart colours' and 'opacity' do.
func (d *demo) inkColours(ctx context.Context) error {
	o := newChartOptions()
	o.patches = usualColours
	request, err := d.chartRequest(&o)
	if err != nil {
		return err
	}
	c, err := o.colours(nil, request)
	if err != nil {
		return err
	}
	if err := d.printed(ctx, demoColours, request, c); err != nil {
		return err
	}
	return d.opacity()
}

// opacity does what 'opacity' does, with both plots.
func (d *demo) opacity() error {
	o := opacityOptions{readings: []string{d.path(demoColours.readings)}, tablets: []string{d.path(demoColours.tablet)},
		exposures: []string{demoExposure}, process: demoProcess, blend: blendEven, top: usualTop, out: demoInks}
	o.setup = demoSetup()
	r := &d.result.Inks
	inks, err := d.findInks(&o, &r.opacityResult)
	if err != nil {
		return err
	}
	d.inks = inks
	r.emptyLists()
	if r.Neutral, err = neutralGradation(inks); err != nil {
		return err
	}
	blend, err := blendFigure(inks)
	if err != nil {
		return err
	}
	return d.save(o.inputs(), job{demoInks, textContent, inks.Encode},
		plotJob(demoRanked, r.rankingFigure()), plotJob(demoBlend, blend))
}

// neutralGradation tells how finely the neutral ramp is graded within the needed
// range.
func neutralGradation(k *calibration.Inks) (printer.Gradation, error) {
	m, err := k.Model()
	if err != nil {
		return printer.Gradation{}, err
	}
	var o printer.GradationOptions
	if k.NeededRange != nil {
		o.Range = k.NeededRange.Value.Value
	}
	return printer.GradationOf(m, printer.Straight(printer.RGB{}), o), nil
}
