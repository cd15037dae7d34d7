package main

import (
	"fmt"
	"io"
	"strings"

	"actinic/process/calibration"
	"actinic/process/sensitometry"

	"github.com/spf13/cobra"
)

func newExposureFind(a *app) *cobra.Command {
	var process string
	cmd := &cobra.Command{
		Use:   "find READINGS",
		Short: "The shortest exposure that reaches black, from a test strip",
		Long: `Finds the shortest exposure that reaches black through clear film, from readings
of a test strip, with its doubt: read the print first, by scan or instrument.
Black is 97 % of the net maximum density: a just-visible step below it. Strips
that longer exposure turned back towards paper white are left out and named.

READINGS is a CSV file with the columns patch, exposure_s (seconds) or
exposure_units (lamp units), and print_density or print_lstar; '-' is standard
input. 'actinic read' writes it from a scan of 'chart exposure', 'exposure plan
-o' a form to fill in by hand. A row with exposure 0 is unexposed paper; it
helps where no strip comes near paper white.

Of a process whose prints lighten with exposure (--process), it finds the
shortest exposure that reaches paper white instead.

A strip that does not reach its end gives no figure: the command fails, and says
how far to expose.

With --json: one object; first_black is null where prints lighten with exposure
and first_white where they darken, next_plan is null where the strip is good
enough.`,
		Example: `  actinic exposure find strip.csv
  actinic exposure find strip.csv --process polymer_gravure`,
		Args: exactly("READINGS"),
		RunE: func(_ *cobra.Command, args []string) error { return runExposureFind(a, args[0], process) },
	}
	cmd.Flags().StringVar(&process, "process", "", "the print is by process `NAME`; needed only where prints lighten with exposure")
	return cmd
}

func runExposureFind(a *app, name, process string) error {
	falling, err := fallingOf(process)
	if err != nil {
		return err
	}
	readings, err := a.readReadings(name, nil)
	if err != nil {
		return err
	}
	found, err := calibration.FindFirstBlack(readings, falling)
	if err != nil {
		return err
	}
	for _, n := range found.Notices {
		a.notice("%s", n)
	}
	return a.print(found, func(w io.Writer) error { return exposureFindText(w, found) })
}

// exposureFindText writes what a test strip says.
func exposureFindText(w io.Writer, f *calibration.FirstBlack) error {
	var b strings.Builder
	exposure := func(amount float64) sensitometry.Exposure {
		return sensitometry.Exposure{Amount: amount, Unit: f.Unit}
	}
	fmt.Fprintf(&b, "Test strip, %s: %d strips, %v to %v\n\n", f.Readings, f.Strips, exposure(f.Shortest), exposure(f.Longest))
	answer := f.Answer()
	fmt.Fprintf(&b, "First %s: %s is the shortest exposure that reaches %s through clear film.\n",
		f.End(), exposure(answer.Value).WithDoubt(answer.SD), f.End())
	fmt.Fprintf(&b, "95 times in 100 it lies between %v and %v.\n", exposure(f.Low).RoundedTo(answer.SD), exposure(f.High).RoundedTo(answer.SD))
	fmt.Fprintf(&b, "\n  paper density     %s\n", optionalText(f.PaperDensity, 2))
	fmt.Fprintf(&b, "  maximum density   %s\n", optionalText(f.MaximumDensity, 2))
	exposureFindWarnings(&b, f, exposure)
	fmt.Fprintf(&b, `
+- is the doubt, one standard uncertainty. Doubling the time is taken to double
the light: a lamp that warms up, or paper that obeys that rule badly, adds to it.
`)
	_, err := io.WriteString(w, b.String())
	return err
}

// exposureFindWarnings says what turned back, what does not fit, and what to
// expose next.
func exposureFindWarnings(b *strings.Builder, f *calibration.FirstBlack, exposure func(float64) sensitometry.Exposure) {
	var lines []string
	if r := f.Reversed; r != nil {
		lines = append(lines, fmt.Sprintf("From %v on, tone turns back by up to %.2g %s (%s): left out. %v is the upper limit of exposure.",
			exposure(r.From), r.By, r.Unit, strings.Join(r.Patches, ", "), exposure(r.Longest)))
	}
	for _, o := range f.Outliers {
		lines = append(lines, fmt.Sprintf("Strip %s does not fit (%+.1f L*) and was given little weight.", o.ID, o.Off))
	}
	if n := f.Next; n != nil {
		lines = append(lines, fmt.Sprintf("For a better figure, as %s: actinic exposure plan --from %s --to %s --strips %d",
			n.Reason, flagText(exposure(n.From)), flagText(exposure(n.To)), n.Strips))
	}
	if len(lines) > 0 {
		fmt.Fprintf(b, "\nMind:\n  %s\n", strings.Join(lines, "\n  "))
	}
}

// flagText writes an exposure as --from and --to take it.
func flagText(x sensitometry.Exposure) string {
	if x.Unit == sensitometry.Seconds {
		return fmt.Sprintf("%gs", x.Amount)
	}
	return fmt.Sprintf("%g", x.Amount)
}
