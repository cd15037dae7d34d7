package main

import (
	"github.com/spf13/cobra"
)

const rootLong = `actinic makes negatives on inkjet film for contact printing in hand-coated,
light-sensitive processes such as cyanotype, Van Dyke brown, salted paper,
platinum/palladium and gum.

It works from prints that you make anyway: a chart and a step tablet, contact
printed on your paper under your lamp. From their readings it finds how the
paper answers to light and how much of that light the ink stops, says how sure
it is, and turns pictures into negatives of exact size.`

const rootExample = `  actinic process list                   the processes it knows
  actinic process show vandyke           steps, starting figures, hazards
  actinic demo out                       the main job, start to end, as an example
  actinic chart ramp -o ramp
  actinic read scan.tif --chart ramp.chart.json --steps 21x0.15+0.05 -o ramp.csv
  actinic curve --ramp ramp.csv --tablet ramp.tablet.csv --exposure 8m -o blue.calibration.json
  actinic negative boat.tif --calibration blue.calibration.json --size 8x10in -o boat-film.tif
  actinic sheet boat-film.tif --marks -o boat.pdf
  actinic check strip.csv --calibration blue.calibration.json`

// exitHelp is shown at the end of the root help; it repeats errors.go.
const exitHelp = `'actinic COMMAND --help' says more about a command.

Exit codes:
  0    done
  1    failed, nothing written
  2    the command line was wrong
  3    finished, but some inputs failed; each is named
  4    measured, and out of tolerance
  130  interrupted

An error is two lines on standard error: what is wrong and where, then a hint.
With --json it is one object: {"error", "file", "where", "hint", "code"}.

Environment:
  NO_COLOR           set to anything: no colour in messages
  SOURCE_DATE_EPOCH  seconds since 1970: the date written into files`

// newRoot returns the whole command tree. Its commands read their global flags
// from a when they run.
func newRoot(a *app) *cobra.Command {
	root := newGroup(&cobra.Command{
		Use:     "actinic [global flags] COMMAND",
		Short:   "Negatives on inkjet film for contact printing",
		Long:    rootLong,
		Example: rootExample,
	})
	root.SilenceErrors = true
	root.SilenceUsage = true
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(flagError)
	root.PersistentPreRunE = func(*cobra.Command, []string) error { return a.global.check() }
	addGlobalFlags(root, a)
	addCommands(root, a)
	styleHelp(root)
	answerVersion(root, a)
	return root
}

// addCommands is the list of commands, in the order of the job.
func addCommands(root *cobra.Command, a *app) {
	help := newHelp()
	root.AddCommand(
		newProcess(a),
		newExposure(a),
		newChart(a),
		newRead(a),
		newTablet(a),
		newOpacity(a),
		newCurve(a),
		newNegative(a),
		newProof(a),
		newSheet(a),
		newCoat(a),
		newCheck(a),
		newDrift(a),
		newExport(a),
		newDemo(a),
		newCompletion(a),
		help,
	)
	root.SetHelpCommand(help)
}

func addGlobalFlags(root *cobra.Command, a *app) {
	flags := root.PersistentFlags()
	flags.SortFlags = false
	flags.BoolVar(&a.global.json, "json", false, "one JSON object on standard output; errors as JSON on standard error")
	flags.BoolVar(&a.global.quiet, "quiet", false, "no notices and no progress, only results and errors")
	flags.BoolVar(&a.global.force, "force", false, "replace files that exist")
	flags.IntVar(&a.global.jobs, "jobs", 0, "work on `N` pictures at a time; 0 is one for each processor core")
	flags.BoolVar(&a.global.version, "version", false, "print the version and stop")
}
