package main

import (
	"github.com/spf13/cobra"
)

const chartLong = `A chart is a calibration negative: patches of known film ink, with marks by
which 'actinic read' finds them again in a scan of the print.

Each chart is STEM.tif (16 bits, one file a page: STEM-1.tif, STEM-2.tif, ... if
there are several), STEM.pdf (the same pages at exact size) and STEM.chart.json,
which 'read' needs: keep it.

How to use one:
  1. Print the TIFF or the PDF on film at 100 %, without scaling and without
     colour management, the way your negatives will go. Hold a ruler to the
     100 mm rulers.
  2. Let the ink dry. Put opaque tape on the box TAPE and lay your step tablet
     into the window between the corner ticks, if there is one.
  3. Contact print it, ink side down on the coated paper (as the film says).
     Ultraviolet light harms eyes and skin: cover both.
  4. Process and dry the print as always, scan it, and run 'actinic read'.`

// newChart returns the group of commands that make calibration negatives.
func newChart(a *app) *cobra.Command {
	group := newGroup(&cobra.Command{
		Use:   "chart COMMAND",
		Short: "Calibration negatives on film",
		Long:  chartLong,
		Example: `  actinic chart ramp -o ramp
  actinic chart colours --film A4 --patches 200 -o colours
  actinic chart exposure --from 2m --to 32m -o strip`,
	})
	group.AddCommand(newChartRamp(a), newChartColours(a), newChartNext(a), newChartExposure(a), newChartTablet(a), newChartCheck(a))
	return group
}

const chartJSON = `

With --json: {"files", "kind", "film", "pages", "patches", "codes", "mirrored",
"notices"}.`

func newChartRamp(a *app) *cobra.Command {
	o := newChartOptions()
	cmd := chartCommand(a, &o, &cobra.Command{
		Use:   "ramp -o STEM",
		Short: "Levels of one ink colour, from clear film to full ink",
		Long: `A ramp of film ink: each level several times, scattered over the sheet by the
seed, so that an uneven coating is not taken for tone. With --calibration half
of the levels go where the print changes fastest.

--ink-colour takes a printer colour or the file that 'opacity' wrote: then the
ramp follows its ink blend, a way through several colours, or with --blend
straight the straight way to its ink colour. Give the same file to 'curve'.

The patches v64, v128 and v192 are fixed printer values, the same on every
ramp whatever its ink colour: two prints can be compared by them. 'read' writes
them to R.fixed.csv; 'curve' does not need them.` + chartJSON,
		Example: `  actinic chart ramp -o ramp
  actinic chart ramp --film 8x10 --ink-colour 120,0,40 --tablet-window 130x20 -o red
  actinic chart ramp --ink-colour blue.inks.json -o blend
  actinic chart ramp --calibration blue.calibration.json --levels 61 -o finer`,
	}, o.ramp)
	o.addInk(cmd.Flags())
	cmd.Flags().IntVar(&o.levels, "levels", usualLevels, "`N` levels of ink, clear film and full ink among them")
	cmd.Flags().IntVar(&o.repeats, "repeats", usualRepeats, "print each level `N` times")
	return cmd
}

func newChartColours(a *app) *cobra.Command {
	o := newChartOptions()
	cmd := chartCommand(a, &o, &cobra.Command{
		Use:   "colours -o STEM",
		Short: "Printer colours, for the search for the most UV-opaque",
		Long: `Printer colours spread over all that the printer can be sent, most of them
saturated, with neutrals between and some of them twice, scattered by the seed.
Their print shows which stops most ultraviolet light; the eye can't tell.

'read' finds the patches by the marks, which print light where their ink stops
the light. If your printer's black stops little, or you mean to print the film
again with four times the exposure, draw them in a dense colour: --ink-colour.` + chartJSON,
		Example: `  actinic chart colours -o colours
  actinic chart colours --film A4 --patches 924 --tablet-window none -o many`,
	}, o.colours)
	cmd.Flags().Var(&o.ink.rgbFlag, "ink-colour", "text, marks and corner patches in printer `R,G,B`, 0 to 255")
	cmd.Flags().IntVar(&o.patches, "patches", usualColours, "`N` patches, from 1 to 5000; their size follows, and so does the number of pages")
	return cmd
}

func newChartExposure(a *app) *cobra.Command {
	o := newChartOptions()
	cmd := chartCommand(a, &o, &cobra.Command{
		Use:   "exposure --from TIME --to TIME -o STEM",
		Short: "A strip of equal areas to be uncovered in turn",
		Long: `Equal areas of clear film, each with its number and the time at which it is
covered: times as 'actinic exposure plan' gives them, each longer than the one
before by the same factor, and around the card's starting exposure where
--process stands for --from and --to. Lay an opaque card as wide as the strip
over area 1 at its time, move it down to area 2 at the next, and so on; leave
the marks open.` + chartJSON,
		Example: `  actinic chart exposure --from 2m --to 32m -o strip
  actinic chart exposure --from 40 --to 640 --strips 5 --film 5x7 -o units`,
	}, o.exposure)
	o.addInk(cmd.Flags())
	cmd.Flags().Var(&o.from, "from", "the shortest exposure, `TIME` as 90s, 2m or 1h, or lamp units")
	cmd.Flags().Var(&o.to, "to", "the longest exposure, `TIME`")
	cmd.Flags().IntVar(&o.strips, "strips", 9, "`N` areas")
	return cmd
}

func newChartTablet(a *app) *cobra.Command {
	o := newChartOptions()
	cmd := chartCommand(a, &o, &cobra.Command{
		Use:   "tablet -o STEM",
		Short: "Marks and a window, for a step tablet printed alone",
		Long: `Marks and a window of clear film between corner ticks, for a step tablet that is
printed by itself.` + chartJSON,
		Example: `  actinic chart tablet --film 5x7 --tablet-window 140x25 -o tablet`,
	}, o.tablet)
	o.addInk(cmd.Flags())
	return cmd
}

func newChartCheck(a *app) *cobra.Command {
	o := newChartOptions()
	o.film = "4x5in"
	cmd := chartCommand(a, &o, &cobra.Command{
		Use:   "check -o STEM",
		Short: "Ten patches and a window: is a new chart needed?",
		Long: `Ten patches and a tablet window on a small sheet: printed after a change of ink,
film, lamp or sensitiser, it tells whether the calibration still holds. With
--calibration the patches are even in print tone.` + chartJSON,
		Example: `  actinic chart check --calibration blue.calibration.json -o check`,
	}, o.check)
	o.addInk(cmd.Flags())
	return cmd
}
