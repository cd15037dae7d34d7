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
		{&s.Printer, "printer", "setup, free text: the printer"},
		{&s.Film, "film", "setup: the film"},
		{&s.InkColour, "ink-colour", "setup: the ink colour, as you call it; for curve also the NAME.inks.json that the chart was made with"},
		{&s.InkBatch, "ink-batch", "setup: the batch or bottle of the ink"},
		{&s.Paper, "paper", "setup: the paper and its sizing"},
		{&s.Lamp, "lamp", "setup: the lamp and its distance"},
		{&s.Coats, "coats", "setup: number and kind of coats"},
		{&s.Drying, "drying", "setup: how the coating was dried"},
		{&s.Toning, "toning", "setup: toning or intensifying after the wash"},
		{&s.Printing.Program, "program", "setup: the program that sent the chart to the printer"},
		{&s.Printing.Media, "media", "setup: media setting of the printer driver"},
		{&s.Printing.Quality, "quality", "setup: quality setting of the printer driver"},
		{&s.Printing.ColourManagement, "colour-management", "setup: colour management when the chart was printed"},
		{&s.Printing.FileForm, "chart-form", "setup: file form of the chart (tiff, png or pdf)"},
	} {
		flags.Var((*textFlag)(f.to), f.name, f.usage)
	}
	flags.IntVar(&s.Printing.Depth, "chart-depth", 0, "setup: `BITS` of the chart, 8 or 16; a negative warns when its own differ")
	flags.Float64Var(&s.Printing.PPI, "chart-ppi", 0, "setup: resolution of the chart, `PPI`")
}

// textFlag is a flag that takes free text.
type textFlag string

func (f *textFlag) Set(text string) error { *f = textFlag(text); return nil }
func (f *textFlag) String() string        { return string(*f) }
func (f *textFlag) Type() string          { return "TEXT" }
