package main

import (
	"fmt"
	"strings"

	"actinic/process/calibration"
	"actinic/process/density"
)

// spectralText writes what spectra predict, and how prints agree.
func spectralText(b *strings.Builder, s *calibration.Spectral) {
	fmt.Fprintf(b, "UV density predicted from spectra, %s\n\n", s.Readings)
	lightText(b, "lamp", s.Lamp)
	lightText(b, "sensitiser", s.Sensitiser)
	fmt.Fprintf(b, "  %-12s mainly %.0f to %.0f nm, mean %.0f nm\n", "light acts", s.BandNM[0], s.BandNM[2], s.BandNM[1])
	if s.FilmBase != nil {
		fmt.Fprintf(b, "  %-12s %.3f, and in no figure below\n", "film base", *s.FilmBase)
	}
	spectralTable(b, s)
	if s.Others > 0 {
		b.WriteString(folded(fmt.Sprintf("With others: what %d other lights would give that it may as well be. Approximate lamps and sensitisers only predict; a print decides.", s.Others), 0, 0, terminalWidth))
	}
	if len(s.LeftOut) > 0 {
		b.WriteString(folded("Left out, because the tables do not reach: "+strings.Join(s.LeftOut, ", ")+".", 0, 2, terminalWidth))
	}
	comparisonText(b, s.Comparison)
}

func lightText(b *strings.Builder, name string, used calibration.LightUsed) {
	labelled(b, 15, name, used.Name+", "+used.About)
	sourceLines(b, 15, used.Sources)
}

// sourceLines writes sources under what they are of, indented.
func sourceLines(b *strings.Builder, indent int, sources []string) {
	for _, source := range sources {
		b.WriteString(folded("source: "+source, indent, indent+2, terminalWidth))
	}
}

// spectralTable is the table of samples, with the prints' columns where there are
// prints.
func spectralTable(b *strings.Builder, s *calibration.Spectral) {
	heading := fmt.Sprintf("  %-14s %-12s %-8s %-16s", "sample", "UV density", "stops", "with others")
	if s.Comparison != nil {
		heading += fmt.Sprintf(" %-17s %s", "by print", "difference")
	}
	fmt.Fprintf(b, "\n%s\n", strings.TrimRight(heading, " "))
	for _, p := range s.Samples {
		line := fmt.Sprintf("  %-14s %-12s %-8s %-16s", p.Sample, densityText(p.UVDensity), stopsText(p.UVDensity), spreadText(p))
		if s.Comparison != nil {
			line += fmt.Sprintf(" %-17s %s", printText(p), differenceText(p))
		}
		fmt.Fprintf(b, "%s\n", strings.TrimRight(line, " "))
	}
}

// densityText writes a UV density, or that the table shows no light behind it.
func densityText(uv *float64) string {
	if uv == nil {
		return "no light"
	}
	return fmt.Sprintf("%.2f", *uv)
}

func stopsText(uv *float64) string {
	if uv == nil {
		return "-"
	}
	return fmt.Sprintf("%.1f", *uv/density.Stop)
}

func spreadText(p calibration.Predicted) string {
	switch {
	case p.Low == nil:
		return "-"
	case p.High == nil:
		return fmt.Sprintf("%.2f or more", *p.Low)
	}
	return fmt.Sprintf("%.2f to %.2f", *p.Low, *p.High)
}

func printText(p calibration.Predicted) string {
	switch {
	case p.Print != nil:
		return valueText(*p.Print, 2)
	case p.AtLeast != nil:
		return fmt.Sprintf("at least %.2f", *p.AtLeast)
	case p.AtMost != nil:
		return fmt.Sprintf("at most %.2f", *p.AtMost)
	}
	return "-"
}

func differenceText(p calibration.Predicted) string {
	if p.Difference == nil {
		return "-"
	}
	return fmt.Sprintf("%+.2f", p.Difference.Value)
}

// comparisonText sums up how prints agree with the prediction.
func comparisonText(b *strings.Builder, c *calibration.Comparison) {
	if c == nil {
		return
	}
	if c.Compared == 0 {
		b.WriteString("No sample is within the prints' reach: nothing to compare.\n")
		return
	}
	b.WriteString("\n" + folded(fmt.Sprintf("Print and spectra differ by %.3f over %s; %d of them within what other lights would give.",
		*c.RMS, counted(c.Compared, "sample"), c.Within), 0, 0, terminalWidth))
	if c.Ratio != nil {
		b.WriteString(folded(fmt.Sprintf("The print sees %s times what the spectra say; with that, they differ by %.3f. The print decides.",
			valueText(*c.Ratio, 2), *c.RMSAfter), 0, 0, terminalWidth))
	}
	if len(c.Unmatched) > 0 {
		b.WriteString(folded("Not on the print: "+strings.Join(c.Unmatched, ", ")+".", 0, 2, terminalWidth))
	}
}
