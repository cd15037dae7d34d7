package main

import (
	"actinic/negative/chart"
	"actinic/negative/sheet"
	"actinic/process/calibration"
	"actinic/process/fault"
	"actinic/process/printer"
	"actinic/process/recipe"
	"actinic/process/sensitometry"

	"github.com/spf13/cobra"
)

// chartRequest is what the flags of a chart come to.
type chartRequest struct {
	sheet   chart.Sheet
	film    sheet.Film
	curve   *calibration.InkCurve // nil without a calibration
	path    printer.Path          // of an inks file; nil without
	known   *calibration.Calibration
	inks    *calibration.Inks
	card    *recipe.Card // nil without a process
	caution string
	notices []string
}

// chartMaker lays out a chart of one kind.
type chartMaker func(cmd *cobra.Command, r *chartRequest) (*chart.Chart, error)

// lightness and device are what a calibration or an inks file knows of the ramp;
// nil without.
func (r *chartRequest) lightness() func(float64) float64 {
	if r.curve == nil {
		return nil
	}
	return func(ink float64) float64 { return float64(r.curve.PrintLightness(ink)) }
}

func (r *chartRequest) device() func(float64) [3]float64 {
	switch {
	case r.curve != nil:
		return r.curve.Device
	case r.path != nil:
		return func(ink float64) [3]float64 {
			c := r.path.At(ink)
			return [3]float64{c[0] / 255, c[1] / 255, c[2] / 255}
		}
	}
	return nil
}

func (o *chartOptions) ramp(_ *cobra.Command, r *chartRequest) (*chart.Chart, error) {
	return chart.NewRamp(chart.RampOptions{Sheet: r.sheet, Levels: o.levels, Repeats: o.repeats, Lightness: r.lightness(), Device: r.device()})
}

func (o *chartOptions) colours(_ *cobra.Command, r *chartRequest) (*chart.Chart, error) {
	return chart.NewColours(chart.ColoursOptions{Sheet: r.sheet, Patches: o.patches})
}

func (o *chartOptions) tablet(_ *cobra.Command, r *chartRequest) (*chart.Chart, error) {
	if o.window.None {
		return nil, &usageError{where: "--tablet-window", what: "none leaves nothing of a chart that is for a step tablet alone",
			hint: "give the size of the tablet with some room, for example --tablet-window 130x30"}
	}
	return chart.NewTablet(r.inked())
}

func (o *chartOptions) check(_ *cobra.Command, r *chartRequest) (*chart.Chart, error) {
	return chart.NewCheck(chart.CheckOptions{Sheet: r.sheet, Lightness: r.lightness(), Device: r.device()})
}

func (o *chartOptions) exposure(cmd *cobra.Command, r *chartRequest) (*chart.Chart, error) {
	from, to, err := stripEnds(cmd, o.from, o.to, r.card)
	if err != nil {
		return nil, err
	}
	steps, err := sensitometry.PlanExposures(from, to, o.strips)
	if err != nil {
		return nil, err
	}
	return chart.NewExposure(chart.ExposureOptions{Sheet: r.inked(), Steps: steps})
}

// inked is the sheet with the ink colour of a calibration or inks file, for charts without a
// ramp.
func (r *chartRequest) inked() chart.Sheet {
	return r.sheet.WithInk(r.device())
}

// request gathers film, ink and process.
func (a *app) chartRequest(o *chartOptions) (*chartRequest, error) {
	film, err := sheet.ParseFilm(string(o.film))
	if err != nil {
		return nil, err
	}
	made, err := a.made()
	if err != nil {
		return nil, err
	}
	r := &chartRequest{film: film, sheet: chart.Sheet{WidthMM: film.WidthMM, HeightMM: film.HeightMM, MarginMM: o.margin, PPI: o.ppi,
		InkColour: o.ink.rgbFlag, Window: o.window.Window, Seed: o.seed, Made: made}}
	process := o.process
	if process != "" {
		card, err := findProcess(process)
		if err != nil {
			return nil, err
		}
		process = card.Name
	}
	known, err := a.chartKnown(o, r)
	if err != nil {
		return nil, err
	}
	if process == "" {
		process = known
	}
	r.forProcess(o, process)
	return r, nil
}

// chartKnown adds what a calibration or an inks file knows, and returns its
// process.
func (a *app) chartKnown(o *chartOptions, r *chartRequest) (process string, err error) {
	switch {
	case o.calibration != "":
		return a.chartCalibration(o, r)
	case o.ink.file != "":
		return a.chartInks(o, r)
	}
	return "", nil
}

// chartInks adds the way to the ink colour of an inks file, and returns its
// process.
func (a *app) chartInks(o *chartOptions, r *chartRequest) (process string, err error) {
	k, err := a.readInks(o.ink.file)
	if err != nil {
		return "", err
	}
	r.inks = k
	if r.path, err = k.Path(o.blend == blendStraight); err != nil {
		return "", fault.InFile(err, inputName(o.ink.file))
	}
	return k.Setup.Process, r.addInput(o.ink.file)
}

// addInput names a file that the chart was made from.
func (r *chartRequest) addInput(name string) error {
	inputs, err := appendInput(nil, name)
	for _, in := range inputs {
		r.sheet.Inputs = append(r.sheet.Inputs, chart.Input(in))
	}
	return err
}

// chartCalibration adds what a calibration knows, and returns its process.
func (a *app) chartCalibration(o *chartOptions, r *chartRequest) (process string, err error) {
	c, err := a.readCalibration(o.calibration)
	if err != nil {
		return "", err
	}
	r.known = c
	if r.curve, err = c.InkCurve(); err != nil {
		return "", err
	}
	return c.Setup.Process, r.addInput(o.calibration)
}

// forProcess says which way round the film goes, and what to mind.
func (r *chartRequest) forProcess(o *chartOptions, process string) {
	noMirror, notices := unmirrored(process)
	switch {
	case o.mirrorSaid:
		noMirror, notices = o.noMirror, nil
	case o.positive:
		noMirror, notices = true, nil
	}
	r.sheet.Mirrored, r.notices = !noMirror, notices
	r.caution = recipe.GeneralCaution()
	if card, known := cardOf(process); known {
		r.card, r.caution = &card, card.ShortCaution()
	}
}
