package main

import (
	"fmt"
	"io"
	"strings"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/printer"
	"actinic/process/sensitometry"
)

// opacityText writes what prints and spectra say of ink colours.
func opacityText(w io.Writer, r *opacityResult) error {
	var b strings.Builder
	if len(r.Prints) > 0 {
		r.printsText(&b)
		r.rankingText(&b)
		r.chosenText(&b)
		bullets(&b, "Unevenness over the sheet, taken out of the readings", r.Unevenness.Lines())
	}
	if r.Spectral != nil {
		if len(r.Prints) > 0 {
			b.WriteString("\n")
		}
		spectralText(&b, r.Spectral)
	}
	bullets(&b, "Mind", r.Warnings)
	if len(r.Prints) > 0 {
		fmt.Fprintf(&b, "\n%s\n", doubtLine)
	}
	r.nextText(&b)
	if len(r.Cautions) > 0 {
		fmt.Fprintf(&b, "\n%s\n", r.Cautions[0])
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// printsText says what was read, print by print.
func (r *opacityResult) printsText(b *strings.Builder) {
	fmt.Fprintf(b, "UV density of %s from %s: %s\n\n",
		counted(r.Colours, "colour"), counted(len(r.Prints), "print"), reachText(r.Numbers, r.Colours-r.Numbers))
	for i, p := range r.Prints {
		fmt.Fprintf(b, "  %-16s %s\n", p.Readings, strings.Join(r.printWords(i), "; "))
	}
	if n := r.NeededRange; n != nil {
		fmt.Fprintf(b, "  %-16s %s\n", "needed range", neededText(n))
	} else {
		fmt.Fprintf(b, "  %-16s not known\n", "needed range")
	}
	if m := r.Model; m != nil && m.HeldOutRMS != nil {
		fmt.Fprintf(b, "  %-16s colours held out were predicted within %.3f\n", "printer", *m.HeldOutRMS)
	}
}

// reachText says how many colours are numbers and how many only bounds.
func reachText(numbers, bounds int) string {
	if bounds == 0 {
		return "all within reach"
	}
	return fmt.Sprintf("%d within reach, %d told as at least or at most", numbers, bounds)
}

// neededText says what the ink colour must reach, and who says so. A range that
// was asked for has no doubt.
func neededText(n *calibration.InksRange) string {
	from := map[string]string{"tablet": "by the tablet, from paper white to black",
		"tablet, at this exposure": "by the tablet, from paper white to clear film at this exposure",
		"process card":             "by the process card", "asked for": "as asked for"}[n.From]
	if n.SD == 0 {
		return fmt.Sprintf("%.2f (%.1f stops), %s", n.Value.Value, n.Value.Value/density.Stop, from)
	}
	return fmt.Sprintf("%s (%s stops), %s", valueText(n.Value, 2), valueText(inStops(n.Value), 1), from)
}

// printWords says how one print was exposed and what it tells.
func (r *opacityResult) printWords(n int) []string {
	p := r.Prints[n]
	var words []string
	if p.Given != nil {
		words = append(words, "given "+sensitometry.Exposure{Amount: *p.Given, Unit: r.Exposure}.String())
	}
	if n > 0 {
		words = append(words, fmt.Sprintf("log exposure %+.2f +- %.2f against the first", p.Offset.Value, p.Offset.SD))
	}
	if p.NoiseLstar != nil {
		words = append(words, fmt.Sprintf("noise of one reading %.2f L*", *p.NoiseLstar))
	}
	if p.NoiseDensity != nil {
		words = append(words, fmt.Sprintf("noise of one reading %.3f density", *p.NoiseDensity))
	}
	if p.Low == nil || p.High == nil {
		return append(words, "tells no UV density")
	}
	return append(words, fmt.Sprintf("tells %.2f to %.2f", *p.Low, *p.High))
}

func inStops(v calibration.Value) calibration.Value {
	return calibration.Value{Value: v.Value / density.Stop, SD: v.SD / density.Stop}
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// rankingText is the table of ranked colours.
func (r *opacityResult) rankingText(b *strings.Builder) {
	if len(r.Ranking) == 0 {
		r.densestText(b)
		return
	}
	heading := "Ink colours that reach the needed range, the best first (colours nearly like a better one are left out)"
	if !r.Ranking[0].Reaches {
		heading = "No colour surely reaches the needed range; the densest first"
	}
	fmt.Fprintf(b, "\n%s:\n  %-13s %-17s %-13s %7s %7s %8s %8s\n", heading,
		"R,G,B", "UV density", "stops", "at ink", "load", "step", "levels")
	for _, c := range r.Ranking {
		uv, stops := rankedUV(c)
		at := "-"
		if c.Reaches {
			at = fmt.Sprintf("%.0f %%", c.InkPercent)
		}
		fmt.Fprintf(b, "  %-13s %-17s %-13s %7s %5.0f %% %8.3f %8d\n", rgbText(c.RGB()), uv, stops, at, c.InkLoad, c.LargestStep, c.Levels)
	}
	b.WriteString("At ink: film ink that reaches the range. Up to there: ink load, largest step of UV density, levels (8 bits).\n")
}

// densestText lists colours by UV density where there is no ranking.
func (r *opacityResult) densestText(b *strings.Builder) {
	fmt.Fprintf(b, "\nThe densest colours:\n  %-13s %-17s %s\n", "R,G,B", "UV density", "stops")
	for _, c := range r.Densest {
		uv, stops := rankedUV(printer.Ranked{UVDensity: c.UVDensity, SD: c.SD, AtLeast: c.AtLeast})
		fmt.Fprintf(b, "  %-13s %-17s %s\n", rgbText(c.RGB()), uv, stops)
	}
}

// rankedUV writes the UV density of a ranked colour in log10 and in stops.
func rankedUV(c printer.Ranked) (uv, stops string) {
	switch {
	case c.UVDensity != nil && c.SD != nil:
		v := calibration.Value{Value: *c.UVDensity, SD: *c.SD}
		return valueText(v, 2), valueText(inStops(v), 1)
	case c.AtLeast != nil:
		return fmt.Sprintf("at least %.2f", *c.AtLeast), fmt.Sprintf("at least %.1f", *c.AtLeast/density.Stop)
	}
	return "not known", "-"
}

func rgbText(c printer.RGB) string { return fmt.Sprintf("%g,%g,%g", c[0], c[1], c[2]) }

// chosenText says which ink colour was chosen, why, and what the blend gains.
func (r *opacityResult) chosenText(b *strings.Builder) {
	if r.InkColour == nil {
		return
	}
	b.WriteString("\n" + folded(fmt.Sprintf("Ink colour %s: %s.", rgbText(r.InkColour.RGB()), r.reason()), 0, 2, helpWidth))
	if k := r.Blend; k != nil {
		gradationRow(b, "straight line", k.Straight)
		switch {
		case len(k.Nodes) > 2:
			gradationRow(b, fmt.Sprintf("ink blend, %d nodes", len(k.Nodes)), k.Blend)
		case r.straight:
			b.WriteString("  The straight line was asked for.\n")
		default:
			b.WriteString("  No ink blend gains enough: the straight line is the way.\n")
		}
	}
	adviceText(b, r.Advice)
}

// reason says why the ink colour is what it is.
func (r *opacityResult) reason() string {
	reasons := "not among the measured colours, so that it has no rank"
	if r.ranked != nil {
		reasons = strings.Join(r.ranked.Reasons, "; ")
	}
	switch {
	case r.chosen:
		return "as asked for; " + reasons
	case r.ranked != nil && r.ranked.Reaches:
		return "the best; " + reasons
	}
	return "the nearest; " + reasons
}

func gradationRow(b *strings.Builder, name string, g printer.Gradation) {
	words := fmt.Sprintf("largest step %.3f, %d levels, %.1f for each 0.1 of UV density", g.LargestStep, g.Levels, g.LevelsPerTenth)
	if !g.Rises {
		words += fmt.Sprintf(", falls by up to %.3f on the way", g.LargestFall)
	}
	fmt.Fprintf(b, "  %-19s %s\n", name, words)
}

// nextText says what to do with the result.
func (r *opacityResult) nextText(b *strings.Builder) {
	switch {
	case len(r.Prints) == 0:
		b.WriteString("\nNext: a print decides. 'actinic chart colours' makes the film for it.\n")
	case r.InkColour == nil:
		b.WriteString("\nNext: give --range or --process, or choose a colour with --colour.\n")
	case r.File == "":
		b.WriteString("\nNext: add -o NAME.inks.json, then actinic chart ramp --ink-colour NAME.inks.json\n")
	default:
		fmt.Fprintf(b, "\nNext: actinic chart ramp --ink-colour %s -o ramp\n", r.File)
	}
}
