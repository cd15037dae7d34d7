package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// noTablet stands for a print without a step tablet in a row of --tablet.
const noTablet = "none"

// stackFlag is a flag that says how the tablet lay.
type stackFlag string

const (
	overFilm stackFlag = "over-film"
	cutOut   stackFlag = "cut-out"
)

func (f *stackFlag) Set(text string) error {
	if s := stackFlag(text); s != overFilm && s != cutOut {
		return errors.New("expected over-film or cut-out")
	}
	*f = stackFlag(text)
	return nil
}

func (f *stackFlag) String() string { return string(*f) }
func (f *stackFlag) Type() string   { return "STACK" }

// check refuses flags of 'curve' that do not go together.
func (o *curveOptions) check(cmd *cobra.Command) error {
	o.aim = strings.Replace(o.aim, "match ", "match:", 1) // "match FILE" will do
	if err := o.checkReadings(cmd); err != nil {
		return err
	}
	switch {
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.plot == standardStream:
		return plotNeedsName()
	case strings.HasSuffix(o.out, ".csv"):
		return &usageError{where: "--output", what: fmt.Sprintf("%q is a name for readings", o.out),
			hint: "call the calibration NAME.calibration.json"}
	}
	if err := checkAim(o.aim); err != nil {
		return err
	}
	return o.checkSetup()
}

// checkAim refuses an aim that is none of the three.
func checkAim(aim string) error {
	name, file, colon := strings.Cut(aim, ":")
	switch {
	case name == "match" && file != "", !colon && (name == "lightness" || name == "density"):
		return nil
	case name == "match":
		return &usageError{where: "--aim", what: "match needs the file of a reference print", hint: "write --aim match:FILE"}
	}
	return &usageError{where: "--aim", what: fmt.Sprintf("%q is not an aim", aim), hint: "write lightness, density or match:FILE"}
}

// checkReadings refuses prints that --ramp and --tablet do not make.
func (o *curveOptions) checkReadings(cmd *cobra.Command) error {
	n, tablets := len(o.ramps), len(o.tablets)
	stdin := slices.DeleteFunc(append([]string{o.ink}, append(o.ramps, o.tablets...)...),
		func(name string) bool { return name != standardStream })
	switch {
	case len(stdin) > 1:
		return &usageError{where: place(cmd), what: "standard input is named more than once", hint: "give files for all readings but one"}
	case o.ink != "" && n > 0:
		return &usageError{where: "--ink", what: "the ramp measures the ink itself",
			hint: "give --ink with --tablet only, or leave it out"}
	case o.ink != "" && (tablets == 0 || slices.Contains(o.tablets, noTablet)):
		return &usageError{where: "--ink", what: "another ink needs a step tablet on this paper", hint: "add --tablet T.csv"}
	case o.ink != "" && o.inksFile() != "":
		return &usageError{where: "--ink-colour", what: "the calibration of --ink has the ink blend already",
			hint: "call the ink colour something else, or leave it out"}
	case o.ink == "" && n == 0 && tablets > 0:
		return &usageError{where: "--ramp", what: "a step tablet alone gives no tone curve: nothing says what the ink stops",
			hint: "add --ramp R.csv, or --ink with the calibration of the same ink"}
	case o.ink == "" && n == 0:
		return missingFlag(cmd, "ramp")
	case o.ink == "" && o.mismatch != 0:
		return &usageError{where: "--mismatch", what: "says how far the ink of another calibration may be off", hint: "give it with --ink, or leave it out"}
	case n > 0 && tablets > 0 && tablets != n:
		return &usageError{where: "--tablet", what: fmt.Sprintf("given %d times for %d times --ramp", tablets, n),
			hint: "give one for each --ramp, in the same order; write --tablet none for a print without one"}
	}
	return o.exposure.check(max(n, tablets))
}

// checkSetup refuses setup figures that can't be meant.
func (o *curveOptions) checkSetup() error {
	p := o.setup.Printing
	switch {
	case p.Depth != 0 && p.Depth != 8 && p.Depth != 16:
		return &usageError{where: "--chart-depth", what: fmt.Sprintf("%d bits, expected 8 or 16", p.Depth), hint: "leave it out when you do not know it"}
	case !(p.PPI >= 0 && p.PPI <= mostPPI):
		return &usageError{where: "--chart-ppi", what: fmt.Sprintf("%g is not between 1 and %d", p.PPI, mostPPI), hint: "leave it out when you do not know it"}
	case !slices.Contains([]string{"", "tiff", "png", "pdf"}, p.FileForm):
		return &usageError{where: "--chart-form", what: fmt.Sprintf("%q is not tiff, png or pdf", p.FileForm), hint: "leave it out when you do not know it"}
	}
	return nil
}
