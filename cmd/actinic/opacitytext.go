package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"

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
		foldedList(&b, "Unevenness over the sheet, taken out of the readings", r.Unevenness.Lines())
	}
	if r.Spectral != nil {
		if len(r.Prints) > 0 {
			b.WriteString("\n")
		}
		spectralText(&b, r.Spectral)
	}
	foldedList(&b, "Mind", r.Warnings)
	if len(r.Prints) > 0 {
		fmt.Fprintf(&b, "\n%s\n", doubtLine)
	}
	r.nextText(&b)
	if len(r.Cautions) > 0 {
		b.WriteString("\n" + folded(r.Cautions[0], 0, 0, terminalWidth))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// printsText says what was read, print by print.
func (r *opacityResult) printsText(b *strings.Builder) {
	b.WriteString(folded(fmt.Sprintf("UV density of %s from %s: %s", counted(r.Colours, "colour"),
		counted(len(r.Prints), "print"), reachText(r.Numbers, r.Colours-r.Numbers)), 0, 2, terminalWidth) + "\n")
	for i := range r.Prints {
		labelled(b, 19, r.printName(i), strings.Join(r.printWords(i), "; "))
	}
	needed := "not known"
	if r.NeededRange != nil {
		needed = neededText(r.NeededRange)
	}
	labelled(b, 19, "needed range", needed)
	if m := r.Model; m != nil && m.HeldOutRMS != nil {
		labelled(b, 19, "printer", fmt.Sprintf("a colour guessed from the others lies within %.3f", *m.HeldOutRMS))
	}
}

// printName is a print's file, numbered where there are several: their names may
// be the same.
func (r *opacityResult) printName(n int) string {
	if len(r.Prints) == 1 {
		return r.Prints[n].Readings
	}
	return fmt.Sprintf("%d  %s", n+1, r.Prints[n].Readings)
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

// rankingLegend says what the columns of the ranking are.
const rankingLegend = "At ink: film ink that reaches the range. Up to there: ink load; the UV density that one code value adds where the ramp is steepest; levels (8 bits)."

// rankingText is the table of ranked colours.
func (r *opacityResult) rankingText(b *strings.Builder) {
	if len(r.Ranking) == 0 {
		r.densestText(b)
		return
	}
	heading := "Ink colours that reach the needed range, the best first (colours nearly like a better one are left out):"
	if !r.Ranking[0].Reaches {
		heading = "No colour surely reaches the needed range; the densest first:"
	}
	fmt.Fprintf(b, "\n%s  %-11s  %-14s  %-13s %7s %6s %9s %7s\n", folded(heading, 0, 0, terminalWidth),
		"R,G,B", "UV density", "stops", "at ink", "load", "steepest", "levels")
	for _, c := range r.Ranking {
		uv, stops := rankedUV(c)
		at := "-"
		if c.Reaches {
			at = fmt.Sprintf("%.0f %%", c.InkPercent)
		}
		fmt.Fprintf(b, "  %-11s  %-14s  %-13s %7s %4.0f %% %9.3f %7d\n", rgbText(c.RGB()), uv, stops, at, c.InkLoad, c.Steepest, c.Levels)
	}
	b.WriteString(folded(rankingLegend, 0, 0, terminalWidth))
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
	b.WriteString("\n" + folded(fmt.Sprintf("Ink colour %s: %s.", rgbText(r.InkColour.RGB()), r.reason()), 0, 2, terminalWidth))
	if k := r.Blend; k != nil {
		gradationRow(b, "straight line", k.Straight)
		switch {
		case len(k.Nodes) > 2:
			gradationRow(b, fmt.Sprintf("ink blend, %d nodes", len(k.Nodes)), k.Blend)
			r.blendEndText(b)
		case r.straight:
			b.WriteString("  The straight line was asked for.\n")
		default:
			b.WriteString("  No ink blend gains enough: the straight line is the way.\n")
		}
	}
	adviceText(b, r.Advice)
}

// blendEndText says so where the blend ends in another colour than the ink colour.
func (r *opacityResult) blendEndText(b *strings.Builder) {
	if end := r.Blend.Nodes[len(r.Blend.Nodes)-1].RGB(); end != r.InkColour.RGB() {
		b.WriteString(folded(fmt.Sprintf("The blend ends in %s, which reaches the range by a smoother way; --colour %s would end it in the ink colour.",
			rgbText(end), rgbText(r.InkColour.RGB())), 2, 4, terminalWidth))
	}
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
	words := fmt.Sprintf("largest step %.3f, %d levels, %.1f per 0.1 UV density", g.LargestStep, g.Levels, g.LevelsPerTenth)
	if !g.Rises {
		words += fmt.Sprintf(", falls by up to %.3f on the way", g.LargestFall)
	}
	labelled(b, 22, name, words)
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
		fmt.Fprintf(b, "\nNext: actinic chart ramp --ink-colour %s -o ramp\n", typed(r.File))
	}
}

// typed is a name as a command line takes it: in quotes where it has spaces.
func typed(name string) string {
	plain := func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_.,/\\:+@%=", r)
	}
	if strings.IndexFunc(name, func(r rune) bool { return !plain(r) }) < 0 {
		return name
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
}
