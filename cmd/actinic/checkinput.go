package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"actinic/negative/chart"
	"actinic/negative/scan"
	"actinic/negative/tone"
	"actinic/process/control"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"

	"github.com/spf13/pflag"
)

// checkRequest gathers what the print is held against.
func (a *app) checkRequest(o *checkOptions) (control.Request, error) {
	rq := control.Request{Tolerance: o.tolerance, Record: o.record.record()}
	for _, p := range tone.StripTones() {
		rq.Strip = append(rq.Strip, control.StripPatch{Name: strconv.Itoa(p.Number), Tone: p.Tone})
	}
	var err error
	if rq.Made, err = a.made(); err != nil {
		return rq, err
	}
	if err := rq.Record.Age(); err != nil {
		return rq, &usageError{where: "--negative-made", what: err.Error(), hint: "a negative is made before it is printed"}
	}
	if o.calibration != "" {
		if rq.Calibration, err = a.readCalibration(o.calibration); err != nil {
			return rq, err
		}
		rq.Name = filepath.Base(inputName(o.calibration))
		if rq.Inputs, err = appendInput(nil, o.calibration); err != nil {
			return rq, err
		}
	}
	rq.Repeats, err = a.checkRepeats(o.repeats)
	return rq, err
}

// checkRepeats reads the checks whose scatter is the tolerance; none where the flag
// is not given.
func (a *app) checkRepeats(names []string) ([]*control.Check, error) {
	if names == nil {
		return nil, nil
	}
	files, err := a.readChecks(names)
	if err != nil {
		return nil, err
	}
	if err := control.OneSetup(files.inputs); err != nil {
		return nil, err
	}
	if n := len(files.inputs); n < control.LeastRepeats {
		return nil, &usageError{where: "--repeats", what: fmt.Sprintf("found %d, expected %d checks or more", n, control.LeastRepeats),
			hint: "fewer do not tell how far your prints scatter; leave it out"}
	}
	var checks []*control.Check
	for _, in := range files.inputs {
		checks = append(checks, in.Check)
	}
	return checks, nil
}

// checkReadings reads a print: readings, or with a chart a scan of its print. The
// notices are of the chart and the scan.
func (a *app) checkReadings(ctx context.Context, name string, o *checkOptions) (*measure.Table, []string, error) {
	text, err := fileIsText(name)
	if err != nil {
		return nil, nil, err
	}
	switch {
	case text && o.corners.values != nil:
		return nil, nil, &usageError{where: "--corners", what: "it is for scans, and " + inputName(name) + " holds readings", hint: "leave it out"}
	case o.chart != "":
		return a.checkChart(ctx, name, o.chart, text)
	case text:
		t, err := a.readReadings(name, &measure.Options{ByPatch: true})
		return t, nil, err
	case o.corners.values == nil:
		return nil, nil, a.noReadings(name)
	}
	r, err := scan.ReadStrip(ctx, scanInputs([]string{name})[0], stripNames(), &scan.Options{Corners: o.corners.points(), Jobs: a.global.jobs})
	if err != nil {
		return nil, nil, fault.InFile(err, name)
	}
	return scanTable(r, name), r.Notices, nil
}

// noReadings says what a file is that holds no text.
func (a *app) noReadings(name string) error {
	if _, err := a.openInput(name); err != nil {
		return err
	}
	switch about, err := os.Stat(name); {
	case err == nil && about.IsDir():
		return fault.New(name, "", "is a folder, expected readings or a scan of one print", "name the file in it")
	case err == nil && about.Size() == 0:
		return fault.New(name, "", "is empty, expected readings or a scan of one print", "write it again")
	}
	return fault.New(name, "", "is no text of readings; a scan needs to be told what is on it",
		"give --chart NAME.chart.json for a chart, or --corners for the check strip beside a picture")
}

// checkChart reads a print of a chart, whose patches it knows by name.
func (a *app) checkChart(ctx context.Context, name, chartName string, text bool) (*measure.Table, []string, error) {
	c, err := a.readChart(chartName)
	if err != nil {
		return nil, nil, err
	}
	t, notices, err := a.chartReadings(ctx, name, c, text)
	if err != nil {
		return nil, nil, fault.InFile(err, name)
	}
	table, match, err := chart.Match(t, c)
	if err != nil {
		return nil, nil, fault.InFile(err, name)
	}
	return table, append(notices, match.Notices...), nil
}

// chartReadings reads an instrument's table, or a scan.
func (a *app) chartReadings(ctx context.Context, name string, c *chart.Chart, text bool) (*measure.Table, []string, error) {
	if text {
		t, err := a.readReadings(name, &measure.Options{ByPatch: true})
		return t, nil, err
	}
	r, err := scan.Read(ctx, scanInputs([]string{name}), c, &scan.Options{Jobs: a.global.jobs})
	if err != nil {
		return nil, nil, err
	}
	return scanTable(r, name), r.Notices, nil
}

func scanTable(r *scan.Result, name string) *measure.Table {
	t := r.Patches()
	t.Name, t.File = filepath.Base(name), name
	return t
}

// stripNames are the numbers of the check strip's patches.
func stripNames() []string {
	var names []string
	for _, p := range tone.StripTones() {
		names = append(names, strconv.Itoa(p.Number))
	}
	return names
}

// recordFlags are the flags that say what is known of the print.
type recordFlags struct {
	control.Record
	dryingHours, humidity, hoursDry amountFlag
	exposure                        exposureFlag
	printed, negativeMade           whenFlag
}

func (f *recordFlags) add(flags *pflag.FlagSet) {
	f.dryingHours.most, f.hoursDry.most, f.humidity.most = control.MostHours, control.MostHours, 100
	flags.Var(&f.exposure, "exposure", exposureUsage)
	flags.Var((*textFlag)(&f.FilmBatch), "film-batch", "of this print, free text: the batch of the film")
	flags.Var((*textFlag)(&f.InkBatch), "ink-batch", "of this print: the batch or bottle of the ink")
	flags.Var(&f.dryingHours, "drying-hours", "the negative dried for `HOURS` before it was used")
	flags.Var(&f.humidity, "humidity", "relative humidity in the room when it was printed, `PERCENT`")
	flags.Var((*textFlag)(&f.Coats), "coats", "of this print: number and kind of coats")
	flags.Var(&f.hoursDry, "hours-since-drying", "the print was read `HOURS` after it had dried")
	flags.Var((*textFlag)(&f.Toning), "toning", "of this print: toning or intensifying after the wash")
	flags.Var(&f.printed, "printed", "it was printed on `DATE`, as 2026-05-31 or 2026-05-31T14:30")
	flags.Var(&f.negativeMade, "negative-made", "its negative was printed on `DATE`: inks fade")
}

// record returns what the flags say.
func (f *recordFlags) record() control.Record {
	r := f.Record
	r.DryingHours, r.Humidity, r.HoursDry = f.dryingHours.value, f.humidity.value, f.hoursDry.value
	if x := sensitometry.Exposure(f.exposure); x.Unit != "" {
		r.Exposure, r.ExposureUnit = &x.Amount, x.Unit
	}
	r.Printed, r.NegativeMade = f.printed.at, f.negativeMade.at
	return r
}

// amountFlag is a flag that takes a number from 0 to most, and knows whether it
// was given.
type amountFlag struct {
	most  float64
	value *float64
}

func (f *amountFlag) Set(text string) error {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "%")), 64)
	if err != nil || !(v >= 0 && v <= f.most) {
		return fmt.Errorf("expected a number from 0 to %g", f.most)
	}
	f.value = &v
	return nil
}

func (f *amountFlag) String() string {
	if f.value == nil {
		return ""
	}
	return strconv.FormatFloat(*f.value, 'g', -1, 64)
}

func (f *amountFlag) Type() string { return "NUMBER" }

// whenFlag is a flag that takes a day, or a time of one, in UTC.
type whenFlag struct{ at *time.Time }

func (f *whenFlag) Set(text string) error {
	for _, form := range []string{time.DateOnly, "2006-01-02T15:04", "2006-01-02T15:04:05", time.RFC3339} {
		if t, err := time.Parse(form, strings.TrimSpace(text)); err == nil && t.Year() > 0 {
			t = t.UTC()
			f.at = &t
			return nil
		}
	}
	return errors.New("expected a date as year-month-day, as in 2026-05-31, or with a time, as in 2026-05-31T14:30")
}

func (f *whenFlag) String() string {
	if f.at == nil {
		return ""
	}
	return f.at.Format(time.RFC3339)
}

func (f *whenFlag) Type() string { return "DATE" }
