package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"actinic/process/calibration"
	"actinic/process/sensitometry"
)

// exposuresFlag is a flag that takes the exposure of each of several prints, or one
// for all.
type exposuresFlag []sensitometry.Exposure

// exposuresUsage is what 'curve' says of it.
const exposuresUsage = exposureUsage + "; once for all prints, or once for each"

func (f *exposuresFlag) Set(text string) error {
	var one exposureFlag
	if err := one.Set(text); err != nil {
		return err
	}
	x := one.exposure()
	if len(*f) > 0 && (*f)[0].Unit != x.Unit {
		return errors.New("expected all exposures in the same unit, times or lamp units")
	}
	*f = append(*f, x)
	return nil
}

func (f *exposuresFlag) String() string {
	var all []string
	for _, x := range *f {
		all = append(all, x.String())
	}
	return strings.Join(all, ", ")
}

func (f *exposuresFlag) Type() string { return "TIME" }

// of is the exposure of print i, counted from 0; the zero value when none was given.
func (f exposuresFlag) of(i int) sensitometry.Exposure {
	switch len(f) {
	case 0:
		return sensitometry.Exposure{}
	case 1:
		return f[0]
	}
	return f[i]
}

// check refuses another number of exposures than one, or one for each print.
func (f exposuresFlag) check(prints int) error {
	if len(f) < 2 || len(f) == prints {
		return nil
	}
	return &usageError{where: "--exposure", what: fmt.Sprintf("given %d times for %d prints", len(f), prints),
		hint: "give it once for all prints, or once for each in the order of --ramp"}
}

// mismatchFlag is a flag that takes a share in per cent.
type mismatchFlag float64

// mostMismatch is the largest share that is no slip of the pen, %.
const mostMismatch = 50

func (f *mismatchFlag) Set(text string) error {
	number, found := strings.CutSuffix(text, "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || !found || !(v > 0 && v <= mostMismatch) {
		return fmt.Errorf("expected a share above 0 and up to %d %%, such as 3%%", mostMismatch)
	}
	*f = mismatchFlag(v / 100)
	return nil
}

func (f *mismatchFlag) String() string {
	if *f == 0 {
		return ""
	}
	return fmt.Sprintf("%g%%", 100*float64(*f))
}

func (f *mismatchFlag) Type() string { return "SHARE" }

// printLines says how each of several prints stands to the others; nothing of one.
func printLines(prints []calibration.PrintExposure) []string {
	if len(prints) < 2 {
		return nil
	}
	var out []string
	for _, p := range prints {
		out = append(out, p.Line())
	}
	return out
}
