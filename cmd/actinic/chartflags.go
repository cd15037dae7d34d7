package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"actinic/negative/chart"
	"actinic/negative/sheet"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// chartOptions are the flags of the 'chart' commands.
type chartOptions struct {
	out         string
	film        filmFlag
	margin      float64
	ppi         float64
	seed        uint64
	window      windowFlag
	ink         inkFlag
	inkSaid     bool // --ink-colour was given
	blend       blendFlag
	blendSaid   bool // --blend was given
	calibration string
	process     string
	positive    bool
	noMirror    bool
	mirrorSaid  bool // --no-mirror was given, either way

	levels, repeats, patches, strips int
	from, to                         exposureFlag
}

// usualLevels and usualRepeats make a ramp that fits A4 with patches of 14 mm;
// usualColours fits it, too.
const (
	usualLevels  = 41
	usualColours = 200
	usualRepeats = 2
)

func newChartOptions() chartOptions {
	return chartOptions{blend: blendEven, film: "A4", margin: usualMarginMM, ppi: usualPPI, seed: 1}
}

// usualMarginMM is wider than what sheet printers leave blank as a rule, and
// usualPPI is what most of them resolve (common practice, from memory).
const (
	usualMarginMM = 6
	usualPPI      = 360
)

// chartCommand completes a command with the flags of all charts; make lays the
// chart out.
func chartCommand(a *app, o *chartOptions, cmd *cobra.Command, make chartMaker) *cobra.Command {
	cmd.Args = exactly()
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return runChart(cmd.Context(), a, cmd, o, make) }
	flags := cmd.Flags()
	flags.StringVarP(&o.out, "output", "o", "", "write `STEM`.tif, STEM.pdf and STEM.chart.json")
	flags.Var(&o.film, "film", "sheets of `FILM`: "+strings.Join(sheet.FilmNames(), ", ")+", or a size as 200x250mm")
	flags.Float64Var(&o.margin, "margin", o.margin, "leave `MM` millimetres blank along each side, where the printer can't reach")
	flags.Float64Var(&o.ppi, "ppi", o.ppi, "resolution of `PPI`: the printer's own")
	flags.Uint64Var(&o.seed, "seed", o.seed, "`N` decides the order of the patches")
	flags.Var(&o.window, "tablet-window", "window for a step tablet, `WxH` in mm as 130x30, or none")
	flags.StringVar(&o.process, "process", "", "mirrored or not as the card of process `NAME` says, with its caution")
	flags.BoolVar(&o.positive, "positive", false, "for a film that is transferred, or a plate: not mirrored")
	flags.BoolVar(&o.noMirror, "no-mirror", false, "do not mirror the film; --no-mirror=false mirrors it whatever the process card says")
	return cmd
}

// addInk adds the flags of charts that have a ramp.
func (o *chartOptions) addInk(flags *pflag.FlagSet) {
	flags.Var(&o.ink, "ink-colour", "full ink is printer `R,G,B`, 0 to 255; equal values are the neutral ramp; or the ink blend of NAME.inks.json")
	flags.Var(&o.blend, "blend", "the way to the ink colour of an inks file: `WAY` is even, its ink blend, or straight")
	flags.StringVar(&o.calibration, "calibration", "", "ink colour, levels and process from the calibration in file `C`")
}

// checkFlags refuses flags that do not go together.
func (o *chartOptions) checkFlags(cmd *cobra.Command) error {
	o.mirrorSaid, o.inkSaid = changed(cmd, "no-mirror"), changed(cmd, "ink-colour")
	o.blendSaid = changed(cmd, "blend")
	switch ending := strings.ToLower(filepath.Ext(o.out)); {
	case o.out == "":
		return missingFlag(cmd, "output")
	case o.out == standardStream:
		return &usageError{where: "--output", what: "a chart is several files and can't go to standard output", hint: "name their stem, for example -o ramp"}
	case os.IsPathSeparator(o.out[len(o.out)-1]):
		return &usageError{where: "--output", what: fmt.Sprintf("%q is a folder, and the files would have no name", o.out), hint: "give folder and stem: -o " + o.out + "ramp"}
	case ending == ".tif" || ending == ".tiff" || ending == ".pdf" || ending == ".json" || ending == ".png":
		return &usageError{where: "--output", what: fmt.Sprintf("%q is the name of one file, and a chart is several", o.out),
			hint: "give the stem without ending: -o " + strings.TrimSuffix(o.out, filepath.Ext(o.out))}
	case o.calibration != "" && o.inkSaid:
		return &usageError{where: "--ink-colour", what: "the calibration has the ink colour", hint: "leave out one of --ink-colour and --calibration"}
	case o.blendSaid && o.ink.file == "":
		return &usageError{where: "--blend", what: "only an inks file has an ink blend", hint: "give --ink-colour NAME.inks.json, or leave out --blend"}
	case o.positive && o.mirrorSaid && !o.noMirror:
		return &usageError{where: "--positive", what: "it asks for a film that is not mirrored, --no-mirror=false for one that is", hint: "leave out one of them"}
	}
	return nil
}

// changed says whether a flag was given; a command need not have it.
func changed(cmd *cobra.Command, name string) bool {
	f := cmd.Flag(name)
	return f != nil && f.Changed
}

// windowFlag is a flag that takes the window for a step tablet.
type windowFlag struct{ chart.Window }

func (f *windowFlag) Set(text string) error {
	if text == "none" {
		f.Window = chart.Window{None: true}
		return nil
	}
	size := strings.ToLower(strings.TrimSpace(text))
	if !strings.HasSuffix(size, "in") && !strings.HasSuffix(size, "cm") && !strings.HasSuffix(size, "mm") {
		size += "mm"
	}
	w, h, err := sheet.ParseSize(size)
	if err != nil {
		return errors.New("expected WIDTHxHEIGHT in mm as in 130x30, or none")
	}
	f.Window = chart.Window{WidthMM: w, HeightMM: h}
	return nil
}

func (f *windowFlag) String() string {
	switch {
	case f.None:
		return "none"
	case f.WidthMM == 0:
		return ""
	}
	return fmt.Sprintf("%gx%g", f.WidthMM, f.HeightMM)
}

func (f *windowFlag) Type() string { return "WxH" }
