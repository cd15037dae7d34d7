package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/recipe"
	"actinic/process/sensitometry"

	"github.com/spf13/cobra"
)

// exposurePlanOptions are the flags of 'exposure plan'.
type exposurePlanOptions struct {
	from, to exposureFlag
	strips   int
	process  string
	out      string
}

// usualStrips are as many as fit four stops in halves.
const usualStrips = 9

func newExposurePlan(a *app) *cobra.Command {
	var o exposurePlanOptions
	cmd := &cobra.Command{
		Use:   "plan --from TIME --to TIME",
		Short: "The exposures of a test strip, and when to cover each",
		Long: `Plans a test strip: exposures that grow by the same factor from strip to strip,
rounded to what a timer can be set to. All strips lie open when the lamp goes
on; cover them one after another, the shortest first.

Times are written 90s, 2m or 1h; plain numbers are units of a lamp that counts
its own light. With --process, --from and --to may be left out: the strip then
spans two stops either way from the card's starting exposure.

-o writes a file of readings without its readings: fill in the column
print_density (or rename it print_lstar) by hand and give it to 'exposure find'.
'actinic chart exposure' prints a film with these times on it.

With --json: {"exposure_unit", "from", "to", "strips": [{"strip", "exposure",
"wait", "log_exposure", "stops"}], "process", "cautions", "output"}.`,
		Example: `  actinic exposure plan --from 2m --to 32m --strips 9
  actinic exposure plan --process vandyke -o strip.csv
  actinic exposure plan --from 40 --to 640 --strips 5`,
		Args: exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error { return runExposurePlan(a, cmd, o) },
	}
	flags := cmd.Flags()
	flags.Var(&o.from, "from", "the shortest exposure, `TIME`: 90s, 2m, 1h, or a plain number of lamp units")
	flags.Var(&o.to, "to", "the longest exposure, `TIME`")
	flags.IntVar(&o.strips, "strips", usualStrips, "`N` strips, 4 to 40")
	flags.StringVar(&o.process, "process", "", "around the starting exposure of process `NAME`, with its cautions")
	flags.StringVarP(&o.out, "output", "o", "", "write a file of readings to be filled in, `FILE.csv`")
	return cmd
}

// exposurePlan is what 'exposure plan' prints with --json.
type exposurePlan struct {
	Unit     string            `json:"exposure_unit"`
	From     float64           `json:"from"`
	To       float64           `json:"to"`
	Strips   []exposureOfStrip `json:"strips"`
	Process  *string           `json:"process"`
	Cautions []string          `json:"cautions"`
	Output   *string           `json:"output"`
}

type exposureOfStrip struct {
	Strip       int     `json:"strip"`
	Exposure    float64 `json:"exposure"`
	Wait        float64 `json:"wait"` // from the cover before, or from the start
	LogExposure float64 `json:"log_exposure"`
	Stops       float64 `json:"stops"`
}

func runExposurePlan(a *app, cmd *cobra.Command, o exposurePlanOptions) error {
	var card *recipe.Card
	if o.process != "" {
		found, err := findProcess(o.process)
		if err != nil {
			return err
		}
		card = &found
	}
	from, to, err := stripEnds(cmd, o.from, o.to, card)
	if err != nil {
		return err
	}
	steps, err := sensitometry.PlanExposures(from, to, o.strips)
	if err != nil {
		return asUsage(err)
	}
	if o.out != "" {
		write := func(w io.Writer) error { return writeStripForm(w, steps) }
		if err := a.writeOutput(o.out, textContent, nil, write); err != nil {
			return err
		}
	}
	if o.out == standardStream {
		return nil
	}
	plan := newExposurePlanOf(steps, card, o.out)
	return a.print(plan, func(w io.Writer) error { return exposurePlanText(w, steps, plan) })
}

// stripEnds returns the ends of a test strip: as the flags --from and --to say, and
// where they do not, as the process card does, if there is one.
func stripEnds(cmd *cobra.Command, flagFrom, flagTo exposureFlag, card *recipe.Card) (from, to sensitometry.Exposure, err error) {
	from, to = flagFrom.exposure(), flagTo.exposure()
	hasFrom, hasTo := cmd.Flag("from").Changed, cmd.Flag("to").Changed
	switch {
	case hasFrom && hasTo:
		return from, to, nil
	case card == nil && !hasFrom:
		return from, to, missingFlag(cmd, "from")
	case card == nil:
		return from, to, missingFlag(cmd, "to")
	}
	usualFrom, usualTo, err := card.TestStrip()
	if err != nil {
		return from, to, asUsage(err)
	}
	if !hasFrom {
		from = usualFrom
	}
	if !hasTo {
		to = usualTo
	}
	return from, to, nil
}

// asUsage turns what is wrong with flags, found below, into a usage error.
func asUsage(err error) error {
	var user *fault.Error
	if errors.As(err, &user) {
		return &usageError{where: user.Where, what: user.What, hint: user.Hint}
	}
	return err
}

func newExposurePlanOf(steps []sensitometry.Exposure, card *recipe.Card, out string) exposurePlan {
	plan := exposurePlan{Unit: steps[0].Unit, From: steps[0].Amount, To: steps[len(steps)-1].Amount, Cautions: []string{}}
	for _, s := range sensitometry.PlannedStrips(steps) {
		plan.Strips = append(plan.Strips, exposureOfStrip{s.Strip, s.Exposure.Amount, s.Wait.Amount,
			float64(s.LogExposure), float64(s.LogExposure) / density.Stop})
	}
	cautions := recipe.UVCautions()
	if card != nil {
		plan.Process, cautions = &card.ID, card.LightCautions()
	}
	for _, c := range cautions {
		plan.Cautions = append(plan.Cautions, c.Text)
	}
	if out != "" {
		plan.Output = &out
	}
	return plan
}

// exposurePlanText writes the plan as a table to work by.
func exposurePlanText(w io.Writer, steps []sensitometry.Exposure, plan exposurePlan) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Test strip of %d, %v to %v\n\n", len(steps), steps[0], steps[len(steps)-1])
	fmt.Fprintf(&b, "  strip  cover it at        that is after      log exposure  stops\n")
	for _, s := range sensitometry.PlannedStrips(steps) {
		fmt.Fprintf(&b, "  %5d  %-17s  %-17s  %12.2f  %5.1f\n", s.Strip, s.Exposure, s.Wait, s.LogExposure, float64(s.LogExposure)/density.Stop)
	}
	fmt.Fprintf(&b, `
All strips lie open, under clear film, when the lamp goes on. Cover strip 1 at
its time and leave it covered, then strip 2, and so on; at the last time the lamp
goes off. A strip's exposure is the time at which it is covered, counted in one
go; the wait is from the cover before.

Log exposure is log10 against the longest strip. 0.30 is one stop: twice the
light, or two steps of a step tablet with 0.15 a step. Longer exposure may turn
back towards paper white: 'exposure find' says so.
`)
	if len(plan.Cautions) > 0 {
		fmt.Fprintf(&b, "\nMind:\n")
	}
	for _, c := range plan.Cautions[:min(len(plan.Cautions), cautionsShown)] {
		fmt.Fprintf(&b, "  %s\n", c)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// cautionsShown is how many of the cautions stand under a plan: the first say not
// to look and to cover up. The process card has them all.
const cautionsShown = 2

// writeStripForm writes a file of readings of a strip that waits for its readings.
func writeStripForm(w io.Writer, steps []sensitometry.Exposure) error {
	t := &measure.Table{Kind: measure.Exposures, Unit: measure.InDensity}
	add := func(id string, x sensitometry.Exposure) {
		r := measure.Blank()
		r.ID, r.Exposure = id, x
		t.Readings = append(t.Readings, r)
	}
	add("paper", sensitometry.Exposure{Unit: steps[0].Unit})
	for k, x := range steps {
		add(fmt.Sprint(k+1), x)
	}
	var b bytes.Buffer
	b.WriteString(stripFormHead)
	if err := measure.WriteCSV(&b, t); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

const stripFormHead = `# Readings of a test strip. Write the print density of each strip into the last
# column, paper included (or call the column print_lstar and write L*). Correct the
# exposures where the clock says otherwise. Delete rows that are not read; "paper"
# is paper that got no light. Then: actinic exposure find THIS.csv
`
