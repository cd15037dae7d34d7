package main

import (
	"actinic/process/measure"
	"actinic/process/tablet"
)

// readReadings reads a file of readings that the user named; "-" is standard
// input.
func (a *app) readReadings(name string, opts *measure.Options) (*measure.Table, error) {
	if name != standardStream {
		return measure.ReadFile(name, opts)
	}
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return measure.Read(in, inputName(name), opts)
}

// stepsFlag is a flag that takes a step tablet in notation.
type stepsFlag string

// stepsUsage is what every --steps flag says of itself.
const stepsUsage = "the tablet where readings give no densities: `STEPS` as 21x0.15+0.05, count x increment + first"

func (f *stepsFlag) Set(text string) error {
	if _, err := tablet.Parse(text); err != nil {
		return err
	}
	*f = stepsFlag(text)
	return nil
}

func (f *stepsFlag) String() string { return string(*f) }
func (f *stepsFlag) Type() string   { return "STEPS" }
