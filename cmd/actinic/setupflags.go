package main

import (
	"actinic/process/calibration"

	"github.com/spf13/pflag"
)

// addSetupFlags adds the flags that say, in free text, what a calibration holds
// for. They change nothing in the fit; they tell calibrations apart later.
func addSetupFlags(flags *pflag.FlagSet, s *calibration.Setup) {
	for _, f := range []struct {
		to          *string
		name, usage string
	}{
		{&s.Printer, "printer", "the printer"},
		{&s.Film, "film", "the film"},
		{&s.InkColour, "ink-colour", "the ink colour, as you call it, or the NAME.inks.json that the chart was made with"},
		{&s.InkBatch, "ink-batch", "the batch or bottle of the ink"},
		{&s.Paper, "paper", "the paper and its sizing"},
		{&s.Lamp, "lamp", "the lamp and its distance"},
		{&s.Coats, "coats", "number and kind of coats"},
		{&s.Drying, "drying", "how the coating was dried"},
		{&s.Toning, "toning", "toning or intensifying after the wash"},
		{&s.Printing.Program, "program", "the program that sent the chart to the printer"},
		{&s.Printing.Media, "media", "media setting of the printer driver"},
		{&s.Printing.Quality, "quality", "quality setting of the printer driver"},
		{&s.Printing.ColourManagement, "colour-management", "colour management when the chart was printed"},
		{&s.Printing.FileForm, "chart-form", "file form of the chart (tiff, png or pdf)"},
	} {
		flags.Var((*textFlag)(f.to), f.name, f.usage)
		groupFlag(flags, f.name, setupGroup)
	}
	flags.IntVar(&s.Printing.Depth, "chart-depth", 0, "`BITS` of the chart, 8 or 16; a negative warns when its own differ")
	flags.Float64Var(&s.Printing.PPI, "chart-ppi", 0, "resolution of the chart, `PPI`")
	groupFlag(flags, "chart-depth", setupGroup)
	groupFlag(flags, "chart-ppi", setupGroup)
}

// setupGroup is the heading of the setup's flags in the help.
const setupGroup = "Setup, free text that goes into the file"

// textFlag is a flag that takes free text.
type textFlag string

func (f *textFlag) Set(text string) error { *f = textFlag(text); return nil }
func (f *textFlag) String() string        { return string(*f) }
func (f *textFlag) Type() string          { return "TEXT" }
