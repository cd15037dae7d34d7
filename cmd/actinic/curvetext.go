package main

import (
	"fmt"
	"io"
	"strings"

	"actinic/process/calibration"
	"actinic/process/sensitometry"
)

// curveText writes what a calibration found, in a few lines.
func curveText(w io.Writer, r curveResult) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Calibration %s, from %d readings%s\n\n", r.File, r.Readings, noiseWords(r.CurveSummary))
	inkLines(&b, r.CurveSummary)
	fmt.Fprintf(&b, "  picture black    prints as L* %.1f with %.1f %% film ink\n", r.BlackLstar, r.BlackInk)
	fmt.Fprintf(&b, "  picture white    prints as L* %.1f with %.1f %% film ink\n", r.WhiteLstar, r.WhiteInk)
	fmt.Fprintf(&b, "  aim              %s, between these two\n", r.Aim)
	fmt.Fprintf(&b, "  middle tone      %s; %s at most anywhere on the curve\n", toneDoubt(r.MiddleSD), toneDoubt(r.LargestSD))
	fmt.Fprintf(&b, "                   %s with the usual scatter from print to print\n", toneDoubt(r.PrintSD))
	bullets(&b, "Prints, against the first in exposure and the mean of the others in all else", printLines(r.Prints))
	bullets(&b, "Unevenness over the sheet, taken out of the readings", r.Unevenness.Lines())
	bullets(&b, "Mind", r.Warnings)
	fmt.Fprintf(&b, "\n%s\n", doubtLine)
	if len(r.Cautions) > 0 {
		fmt.Fprintf(&b, "\n%s\n", r.Cautions[0])
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// toneDoubt writes the doubt of a tone to its first digit that says anything.
func toneDoubt(sd float64) string {
	if sd < 0.095 {
		return fmt.Sprintf("+- %.2f L*", sd)
	}
	return fmt.Sprintf("+- %.1f L*", sd)
}

// inkLines writes what a step tablet tells of ink and exposure; nothing without
// one.
func inkLines(b *strings.Builder, s calibration.CurveSummary) {
	if s.InkRange == nil {
		return
	}
	fmt.Fprintf(b, "  ink range        %s, UV density of full ink%s\n", valueText(*s.InkRange, 2), reachWords(s))
	fmt.Fprintf(b, "  needed range     %s, from paper white to black\n", optionalText(s.NeededRange, 2))
	fmt.Fprintf(b, "  exposure scale   %s\n", optionalText(s.ExposureScale, 2))
	if s.FirstBlack != nil && s.Exposure != nil {
		first := sensitometry.Exposure{Amount: s.FirstBlack.Value, Unit: s.Unit}
		given := sensitometry.Exposure{Amount: *s.Exposure, Unit: s.Unit}
		fmt.Fprintf(b, "  first black      %s through clear film (%s was given)\n", first.WithDoubt(s.FirstBlack.SD), given)
	}
}

func reachWords(s calibration.CurveSummary) string {
	switch {
	case s.InkReaches == nil:
		return ""
	case *s.InkReaches:
		return fmt.Sprintf("; paper white needs %.2f: enough", s.WhiteNeeds.Value)
	default:
		return fmt.Sprintf("; paper white needs %.2f: too short", s.WhiteNeeds.Value)
	}
}

func noiseWords(s calibration.CurveSummary) string {
	switch {
	case s.Noise != nil && s.NoiseDensity != nil:
		return fmt.Sprintf("; noise of one reading %.2f L* or %.3f density", *s.Noise, *s.NoiseDensity)
	case s.Noise != nil:
		return fmt.Sprintf("; noise of one reading %.2f L*", *s.Noise)
	case s.NoiseDensity != nil:
		return fmt.Sprintf("; noise of one reading %.3f density", *s.NoiseDensity)
	}
	return ""
}

// bullets writes lines under a heading, nothing when there are none.
func bullets(b *strings.Builder, heading string, lines []string) {
	if len(lines) > 0 {
		fmt.Fprintf(b, "\n%s:\n  - %s\n", heading, strings.Join(lines, "\n  - "))
	}
}
