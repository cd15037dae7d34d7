package calibration

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"actinic/process/density"
)

// Line says in plain words how a print stands to the others; cautions, in the
// calibration's list, say what is out of the usual.
func (p PrintExposure) Line() string {
	var parts []string
	if p.Print > 1 {
		parts = append(parts, fmt.Sprintf("exposure %s +- %.2f", signed(p.Offset.Value, 2), math.Max(0.01, p.Offset.SD)))
	}
	parts = append(parts, "contrast "+signed(percentOf(p.Contrast), 0)+" %", "paper "+signed(p.Paper.Value, 2), "black "+signed(p.Black.Value, 2))
	line := fmt.Sprintf("Print %d (%s): %s", p.Print, p.Readings, strings.Join(parts, ", "))
	switch {
	case p.LeftOut:
		return line + "; its ramp is left out."
	case len(p.Differs) > 0:
		return line + "; differs in " + strings.Join(p.Differs, " and ") + "."
	}
	return line + "."
}

// signed writes a difference with its sign, and none as 0.
func signed(v float64, digits int) string {
	text := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	if v > 0 {
		text = "+" + text
	}
	return text
}

// percentOf is a logarithm as the change that it means.
func percentOf(v Value) float64 { return 100 * math.Expm1(v.Value) }

// agreementCautions names the prints that differ more than honest prints do.
func (e *Estimate) agreementCautions() []string {
	var out []string
	for k := range e.Agreement {
		out = append(out, e.Agreement[k].cautions()...)
	}
	return out
}

// cautions says what a print differs in, by how much, and what was done about it.
func (g *Agreement) cautions() []string {
	var found []string
	for _, d := range g.Differs {
		if g.LeftOut && d < OfInk && (g.tablet || d != OfContrast) {
			continue // what its own ramp says of these means nothing
		}
		if s := g.words(d); s != "" {
			found = append(found, s)
		}
	}
	if g.LeftOut && len(found) == 0 {
		found = append(found, g.words(OfContrast))
	}
	if len(found) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Print %d (%s) differs from the %s: %s. %s", g.Print, g.Readings, g.fellows(), strings.Join(found, "; "), g.consequence())}
}

func (g *Agreement) fellows() string {
	if g.alone {
		return "other"
	}
	return "others"
}

// words says by how much the print differs in one respect.
func (g *Agreement) words(d Difference) string {
	switch d {
	case OfPaper:
		return fmt.Sprintf("its paper is %.2f of density %s", math.Abs(g.Paper.Value), moreOrLess(g.Paper, "darker", "lighter"))
	case OfBlack:
		return fmt.Sprintf("its black is %.2f of density %s (0.03 to 0.06 are usual)", math.Abs(g.Black.Value), moreOrLess(g.Black, "deeper", "weaker"))
	case OfExposure:
		return g.exposureWords()
	case OfContrast:
		return fmt.Sprintf("its contrast is %.0f %% %s (a few per cent are usual)%s", math.Abs(percentOf(g.Contrast)),
			moreOrLess(g.Contrast, "higher", "lower"), g.withoutTablet())
	case OfStrength:
		return fmt.Sprintf("all its ink stops %.0f %% %s%s", math.Abs(percentOf(g.Strength)), moreOrLess(g.Strength, "more", "less"), g.lightInstead())
	case OfInk:
		return fmt.Sprintf("its ink ramp has another shape: %.1f L* are left when exposure, contrast, paper and black are taken out", g.Shape)
	default:
		return "no shift of exposure lays its characteristic curve over theirs: another paper or coating, or a self-masking paper at another exposure"
	}
}

func moreOrLess(v Value, more, less string) string {
	if v.Value > 0 {
		return more
	}
	return less
}

// withoutTablet says that ink and paper were not told apart.
func (g *Agreement) withoutTablet() string {
	if g.tablet {
		return ""
	}
	return ", or it is of another ink: without a step tablet on it the two look alike"
}

func (g *Agreement) lightInstead() string {
	if g.tablet {
		return ""
	}
	return ", or it got other light and has another contrast: without a step tablet on it the two look alike"
}

// exposureWords holds the exposure found against the one given.
func (g *Agreement) exposureWords() string {
	moved := fmt.Sprintf("%+.2f +- %.2f (%.1f stops)", g.Offset.Value, math.Max(0.01, g.Offset.SD), g.Offset.Value/density.Stop)
	switch {
	case g.Print == 1:
		return "its exposure, on which the scale rests"
	case !g.timed:
		return "its exposure is " + moved + " from the first print's; where its time was another, say so with --exposure for each print"
	case g.Expected.Value == 0:
		return "its exposure is " + moved + " from the first print's for the same time: look at the lamp's warm-up and distance, and at the coating"
	}
	return fmt.Sprintf("its time was %.2f times the first print's, which is %+.2f, but its tones moved by %s: look at the lamp's warm-up, at the tablet, or for a paper that does not add up long and short exposures (reciprocity)",
		math.Pow(10, g.Expected.Value), g.Expected.Value, moved)
}

// consequence says what became of the print.
func (g *Agreement) consequence() string {
	switch {
	case g.dropped && g.differsIn(OfCurve):
		return "It is left out, and the calibration holds near the exposure of the others only; --keep-prints averages it in."
	case g.dropped:
		return "It is left out; --keep-prints averages it in."
	case g.LeftOut:
		return "Its ramp is left out and its step tablet kept; --keep-prints averages both in."
	case g.foreign():
		return "It is averaged in all the same: the curve is that of neither."
	}
	return "This is taken out; the curve is the others'."
}
