package main

import (
	"actinic/process/calibration"

	"github.com/spf13/pflag"
)

// conditionsFlags say what was noted when a calibration's prints were made; 'check'
// has flags of the same names for its own print.
type conditionsFlags struct {
	filmBatch             string
	dryingHours, humidity amountFlag
}

func (f *conditionsFlags) add(flags *pflag.FlagSet) {
	f.dryingHours.most, f.humidity.most = calibration.MostHours, 100
	flags.Var((*textFlag)(&f.filmBatch), "film-batch", "the batch of the film")
	flags.Var(&f.dryingHours, "drying-hours", "the chart's ink dried for `HOURS` before it was used")
	flags.Var(&f.humidity, "humidity", "relative humidity in the room when it was printed, `PERCENT`")
	for _, name := range []string{"film-batch", "drying-hours", "humidity"} {
		groupFlag(flags, name, setupGroup)
	}
}

func (f *conditionsFlags) conditions() calibration.Conditions {
	return calibration.Conditions{FilmBatch: f.filmBatch, DryingHours: f.dryingHours.value, Humidity: f.humidity.value}
}
