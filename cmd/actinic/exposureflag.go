package main

import (
	"errors"

	"actinic/process/sensitometry"
)

// exposureFlag is a flag that takes an exposure: a time or lamp units.
type exposureFlag sensitometry.Exposure

// exposureUsage is what every --exposure flag says of itself.
const exposureUsage = "the print was given `TIME`: 90s, 8m, 1h, or a plain number of lamp units"

func (f *exposureFlag) Set(text string) error {
	x, err := sensitometry.ParseExposure(text)
	if err != nil {
		return errors.New("expected a time above 0 such as 90s, 8m or 1h, or a plain number of lamp units")
	}
	*f = exposureFlag(x)
	return nil
}

func (f *exposureFlag) String() string {
	if f.Unit == "" {
		return ""
	}
	return sensitometry.Exposure(*f).String()
}

func (f *exposureFlag) Type() string { return "TIME" }

// exposure returns what the flag holds.
func (f *exposureFlag) exposure() sensitometry.Exposure { return sensitometry.Exposure(*f) }
