package main

import (
	"fmt"
	"io"
	"strings"

	"actinic/process/calibration"
	"actinic/process/sensitometry"
)

// doubtLine says once, under a result, what its plus-minus means.
const doubtLine = "+- is the doubt, one standard uncertainty: 95 times in 100 the truth lies within twice that."

// valueText writes a value with its doubt. It takes one decimal more where the
// doubt would show as nothing.
func valueText(v calibration.Value, decimals int) string {
	doubt := fmt.Sprintf("%.*f", decimals, v.SD)
	if strings.Trim(doubt, "0.") == "" {
		decimals++
	}
	return fmt.Sprintf("%.*f +- %.*f", decimals, v.Value, decimals, v.SD)
}

// optionalText is valueText, or a word where the readings do not reach.
func optionalText(v calibration.Optional, decimals int) string {
	if v == nil {
		return "not reached"
	}
	return valueText(*v, decimals)
}

// tabletText writes what a step tablet says.
func tabletText(w io.Writer, s calibration.TabletSummary) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Step tablet, %s: %d readings%s\n\n", s.Readings, s.Steps, stepWords(s.Increment))
	rangeRows(&b, s.ExposureScale, s.NeededRange)
	iso := "not reached"
	if s.ISORange != nil {
		iso = fmt.Sprintf("R%d", *s.ISORange)
	}
	fmt.Fprintf(&b, "\n  paper density     %s\n", optionalText(s.PaperDensity, 2))
	fmt.Fprintf(&b, "  maximum density   %s\n", optionalText(s.MaximumDensity, 2))
	fmt.Fprintf(&b, "  average gradient  %s\n", optionalText(s.AverageGradient, 2))
	fmt.Fprintf(&b, "  ISO range         %s\n", iso)
	fmt.Fprintf(&b, "\nLog exposure (log10; 0 is the exposure that the print was given)\n")
	fmt.Fprintf(&b, "  first tone        %-16s 0.04 above the paper\n", optionalText(s.Toe, 2))
	fmt.Fprintf(&b, "  speed point       %-16s 0.60 above the paper\n", optionalText(s.Speed, 2))
	fmt.Fprintf(&b, "  end of the scale  %-16s 90 %% of net maximum density\n", optionalText(s.Shoulder, 2))
	fmt.Fprintf(&b, "  black             %-16s 97 %% of net maximum density\n", optionalText(s.Black, 2))
	if !s.Falling {
		fmt.Fprintf(&b, "\n%s\n", firstBlackText(s.FirstBlackShare, s.FirstBlack, s.Exposure, s.Unit))
	}
	tabletWarnings(&b, s)
	fmt.Fprintf(&b, "\n%s\n", doubtLine)
	if s.Nominal {
		b.WriteString("The tablet's densities are nominal; their own doubt is in it.\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func stepWords(increment *float64) string {
	if increment == nil {
		return " of uneven steps"
	}
	return fmt.Sprintf(", %.2f a step", *increment)
}

// rangeRows is the table of exposure scale and needed range in three units.
func rangeRows(b *strings.Builder, scale, needed *calibration.Range) {
	fmt.Fprintf(b, "                    %-16s %-14s %s\n", "log10", "stops (0.30)", "tablet steps")
	rangeRow(b, "exposure scale", scale)
	rangeRow(b, "needed range", needed)
}

func rangeRow(b *strings.Builder, name string, r *calibration.Range) {
	if r == nil {
		fmt.Fprintf(b, "  %-17s not reached\n", name)
		return
	}
	steps := "-"
	if r.Steps != nil {
		steps = valueText(*r.Steps, 1)
	}
	fmt.Fprintf(b, "  %-17s %-16s %-14s %s\n", name, valueText(r.Log10, 2), valueText(r.Stops, 1), steps)
}

// firstBlackText says how long black takes through clear film. Times are in
// words when the exposure given is known, else as a share of it.
func firstBlackText(share, first calibration.Optional, given *float64, unit string) string {
	switch {
	case share == nil:
		return "First black: not reached by this print; expose longer."
	case first == nil || given == nil:
		return fmt.Sprintf("First black: %s times the exposure that was given (--exposure tells the time).", valueText(*share, 2))
	}
	shortest := sensitometry.Exposure{Amount: first.Value, Unit: unit}
	return fmt.Sprintf("First black: %s is the shortest exposure that reaches black through clear film (%s was given).",
		shortest.WithDoubt(first.SD), sensitometry.Exposure{Amount: *given, Unit: unit})
}

// tabletWarnings says what is wrong with the readings, and what they lack.
func tabletWarnings(b *strings.Builder, s calibration.TabletSummary) {
	var lines []string
	for _, m := range s.Missing {
		lines = append(lines, m+".")
	}
	lines = append(lines, s.Reversed...)
	for _, o := range s.Outliers {
		lines = append(lines, fmt.Sprintf("Step %s does not fit (%+.1f L*) and was given little weight.", o.ID, o.Off))
	}
	if len(lines) > 0 {
		fmt.Fprintf(b, "\nMind:\n  %s\n", strings.Join(lines, "\n  "))
	}
}

// eyeText writes what two steps read by eye say.
func eyeText(w io.Writer, s calibration.EyeSummary) error {
	var b strings.Builder
	fmt.Fprintf(&b, "By eye, tablet %s: black up to step %d, tone up to step %d. Rough figures.\n\n", s.Tablet, s.LastBlack, s.LastSeen)
	fmt.Fprintf(&b, "                    %-16s %-14s %s\n", "log10", "stops (0.30)", "tablet steps")
	rangeRow(&b, "needed range", &s.NeededRange)
	fmt.Fprintf(&b, "\n%s\n\n%s\n", firstBlackText(&s.FirstBlackShare, s.FirstBlack, s.Exposure, s.Unit), doubtLine)
	_, err := io.WriteString(w, b.String())
	return err
}
