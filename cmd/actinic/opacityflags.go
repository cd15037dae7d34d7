package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/sensitometry"

	"github.com/spf13/cobra"
)

// rangeFlag is a flag that takes a range in log10; 0 is none.
type rangeFlag float64

// mostRange is more than any process needs and any ink on film reaches: ten
// stops (a working value of ours).
const mostRange = 4

func (f *rangeFlag) Set(text string) error {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || !(v > 0 && v <= mostRange) {
		return fmt.Errorf("expected a range above 0 and up to %d in log10, as 1.8 (six stops)", mostRange)
	}
	*f = rangeFlag(v)
	return nil
}

func (f *rangeFlag) String() string {
	if *f == 0 {
		return ""
	}
	return fmt.Sprintf("%g", float64(*f))
}

func (f *rangeFlag) Type() string { return "LOG10" }

// pickedFlag is a flag that takes a printer colour, or is not given.
type pickedFlag struct {
	rgbFlag
	said bool
}

func (f *pickedFlag) Set(text string) error {
	f.said = true
	return f.rgbFlag.Set(text)
}

func (f *pickedFlag) String() string {
	if !f.said {
		return ""
	}
	return f.rgbFlag.String()
}

// check refuses flags of 'opacity' that do not go together.
func (o *opacityOptions) check(cmd *cobra.Command) error {
	if err := o.spectral.check(cmd, len(o.readings) > 0); err != nil {
		return err
	}
	if len(o.readings) == 0 {
		return o.checkWithoutPrints(cmd)
	}
	if err := o.checkCounts(cmd); err != nil {
		return err
	}
	switch {
	case o.blend != blendEven && o.blend != blendStraight:
		return &usageError{where: "--blend", what: fmt.Sprintf("%q is not a way", o.blend), hint: "write even or straight"}
	case o.top < 1:
		return &usageError{where: "--top", what: fmt.Sprintf("%d colours, expected 1 or more", o.top), hint: "leave it out to see the ten best"}
	case o.plot == standardStream, o.blendPlot == standardStream:
		return plotNeedsName()
	case o.out != "" && o.out != standardStream && !isInksFile(o.out):
		return &usageError{where: "--output", what: fmt.Sprintf("%q: expected a name that ends in %s, by which 'chart ramp' and 'curve' know the file", o.out, inksEnding), hint: "call the file NAME" + inksEnding}
	}
	return nil
}

// checkWithoutPrints refuses what needs prints where there are none.
func (o *opacityOptions) checkWithoutPrints(cmd *cobra.Command) error {
	if o.spectral.spectra == "" {
		return &usageError{where: place(cmd), what: "READINGS is missing",
			hint: "give readings of a print of 'chart colours', or --spectra with transmittances of the inks"}
	}
	for _, name := range []string{"output", "plot", "blend-plot", "report", "tablet", "colour", "exposure", "range"} {
		if cmd.Flag(name).Changed {
			return &usageError{where: "--" + name, what: "spectra alone only predict, and a print decides",
				hint: "add READINGS of a print, or leave out --" + name}
		}
	}
	return nil
}

// checkCounts refuses tablets and exposures that are not one for each print.
func (o *opacityOptions) checkCounts(cmd *cobra.Command) error {
	n := len(o.readings)
	stdin := slices.DeleteFunc(slices.Concat(o.readings, o.tablets, []string{o.spectral.spectra}),
		func(name string) bool { return name != standardStream })
	switch {
	case len(stdin) > 1:
		return &usageError{where: place(cmd), what: "standard input is named more than once", hint: "give files for all readings but one"}
	case len(o.tablets) == 0:
		return o.tabletMissing()
	case len(o.tablets) != n:
		return &usageError{where: "--tablet", what: fmt.Sprintf("given %d times for %d READINGS", len(o.tablets), n),
			hint: "give one for each READINGS, in the same order"}
	case len(o.exposures) > 0 && len(o.exposures) != n:
		return &usageError{where: "--exposure", what: fmt.Sprintf("given %d times for %d READINGS", len(o.exposures), n),
			hint: "give one for each READINGS, in the same order, or none"}
	}
	return o.checkExposures()
}

// checkExposures refuses exposures that are none, and times beside lamp units.
func (o *opacityOptions) checkExposures() error {
	unit := ""
	for _, text := range o.exposures {
		x, err := sensitometry.ParseExposure(text)
		if err != nil {
			return &usageError{where: "--exposure", what: fmt.Sprintf("%q: expected a time above 0 such as 90s, 8m or 1h, or a plain number of lamp units", text),
				hint: "write --exposure 8m, one for each READINGS"}
		}
		if unit != "" && x.Unit != unit {
			return &usageError{where: "--exposure", what: "times and lamp units together", hint: "give all exposures in the same unit"}
		}
		unit = x.Unit
	}
	return nil
}

// tabletMissing is the error for prints without tablets. It names the files that
// 'read' may have written beside the readings, and takes none by itself.
func (o *opacityOptions) tabletMissing() error {
	hint := "lay a step tablet in the chart's window and add --tablet T.csv, one for each READINGS"
	var beside []string
	for _, name := range o.readings {
		guess := strings.TrimSuffix(name, filepath.Ext(name)) + ".tablet.csv"
		if _, err := os.Stat(guess); name != standardStream && err == nil {
			beside = append(beside, "--tablet "+guess)
		}
	}
	if len(beside) == len(o.readings) {
		hint = "add " + strings.Join(beside, " ")
	}
	return &usageError{where: "--tablet", what: "is missing, and without a step tablet UV density has no measure", hint: hint}
}

// inputs are the names of all files that the command reads.
func (o *opacityOptions) inputs() []string {
	return slices.Concat(o.readings, o.tablets, o.spectral.files())
}

// hintOfKind says where a table of another kind belongs.
func hintOfKind(err error, t *measure.Table) error {
	var user *fault.Error
	if !errors.As(err, &user) {
		return err
	}
	told := *user
	switch t.Kind {
	case measure.Ramp:
		told.Hint = "a ramp goes to 'actinic curve --ramp'; UV density of colours is read from a print of 'actinic chart colours'"
	case measure.Tablet:
		told.Hint = "the step tablet goes to --tablet; READINGS are those of the colours"
	case measure.Spectra:
		told.Hint = "spectra go to --spectra"
	}
	return &told
}
