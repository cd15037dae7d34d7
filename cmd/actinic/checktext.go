package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"actinic/process/control"
	"actinic/process/sensitometry"
)

// checkText writes what a check found; said is what was done to a calibration.
func checkText(w io.Writer, c *control.Check, said string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", sentence(c.Answer.Text))
	fmt.Fprintf(&b, "%s against %s: %d patches, %s\n", c.Readings, checkedAgainst(c), len(c.Patches), insideWords(c))
	fmt.Fprintf(&b, "  worst            patch %s, %s L*; tolerance %.1f L* (%s)\n", c.Worst, signedLstar(c.WorstBy), c.Tolerance.Lstar, c.Tolerance.Source)
	fmt.Fprintf(&b, "  on the whole     %s L*\n", signedText(c.Shift, 1))
	for _, part := range []struct {
		name string
		v    *control.Value
	}{{"dark third", c.DarkBias}, {"light third", c.LightBias}} {
		if part.v != nil {
			fmt.Fprintf(&b, "  %-16s %s L*\n", part.name, signedText(*part.v, 1))
		}
	}
	checkFitted(&b, c)
	if c.MaximumDensity != nil {
		fmt.Fprintf(&b, "  maximum density  %s\n", valueText(*c.MaximumDensity, 2))
	}
	checkPatches(&b, c)
	checkCast(&b, c.Cast)
	bullets(&b, "Mind", c.Warnings)
	if said != "" {
		fmt.Fprintf(&b, "\n%s\n", said)
	}
	fmt.Fprintf(&b, "\n%s\n", doubtLine)
	_, err := io.WriteString(w, b.String())
	return err
}

// checkedAgainst names what the print was held against.
func checkedAgainst(c *control.Check) string {
	if c.Against != "" {
		return c.Against
	}
	return c.Calibration
}

func insideWords(c *control.Check) string {
	if c.Inside {
		return "inside tolerance"
	}
	return "out of tolerance"
}

// signedText is a difference with its doubt.
func signedText(v control.Value, digits int) string {
	text := valueText(v, digits)
	switch {
	case math.Abs(v.Value) < 0.5*math.Pow10(-digits):
		return "+" + strings.TrimPrefix(text, "-") // no -0.0
	case v.Value > 0:
		return "+" + text
	}
	return text
}

// signedLstar is a difference in L*.
func signedLstar(v float64) string {
	if math.Abs(v) < 0.05 {
		return "+0.0"
	}
	return fmt.Sprintf("%+.1f", v)
}

// checkFitted says how the print differs, or why that is not known.
func checkFitted(b *strings.Builder, c *control.Check) {
	if c.ExposureOffset == nil {
		fmt.Fprintf(b, "  exposure         not known: %s\n", c.NotFitted)
		return
	}
	fmt.Fprintf(b, "  exposure         %s (log10): time x%s\n", signedText(*c.ExposureOffset, 3), valueText(*c.TimeFactor, 2))
	if c.NewTime != nil {
		next := sensitometry.Exposure{Amount: c.NewTime.Value, Unit: c.TimeUnit}
		fmt.Fprintf(b, "  next print       %s\n", next.WithDoubt(c.NewTime.SD))
	}
	fmt.Fprintf(b, "  contrast         %s %%\n", signedText(control.Value{Value: 100 * c.Contrast.Value, SD: 100 * c.Contrast.SD}, 0))
	fmt.Fprintf(b, "  paper, depth     %s, %s in density\n", signedText(*c.PaperDensity, 2), signedText(*c.Depth, 2))
	fmt.Fprintf(b, "  left after these %.1f L*\n", *c.ShapeError)
}

// checkPatches is the table of patches.
func checkPatches(b *strings.Builder, c *control.Check) {
	fmt.Fprintf(b, "\n  patch      aim L*  read L*  difference\n")
	for _, p := range c.Patches {
		note := ""
		if p.Spoiled {
			note = "  left out"
		}
		fmt.Fprintf(b, "  %-9s %7.1f  %7.1f  %10s%s\n", p.ID, p.Aim, p.Read, signedLstar(p.Difference), note)
	}
}

// checkCast says how colour runs along the tone scale.
func checkCast(b *strings.Builder, c *control.Cast) {
	if c == nil {
		return
	}
	fmt.Fprintf(b, "\nColour along the tone scale (CIEDE2000; 1 is not noticed, 2 usually is)\n")
	fmt.Fprintf(b, "  patch      L*     a*     b*  from paper  from mean hue\n")
	for _, p := range c.Patches {
		fmt.Fprintf(b, "  %-6s %6.1f %6.1f %6.1f %11.1f %14.1f\n", p.ID, p.Lstar, p.A, p.B, p.FromPaper, p.FromHue)
	}
}

// checkEyeText writes what an eye made of the strip.
func checkEyeText(w io.Writer, e *control.Eye) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n\n", sentence(e.Answer.Text))
	fmt.Fprintf(&b, "  by eye           patch %d is the lightest that merges with black; the aim is %d\n", e.Patch, e.Aim)
	if e.Answer.Kind == control.Nothing {
		fmt.Fprintf(&b, "  exposure         %s (log10), as far as an eye tells\n", signedText(e.ExposureOffset, 2))
	} else {
		fmt.Fprintf(&b, "  exposure         %s (log10): time x%s\n", signedText(e.ExposureOffset, 2), valueText(e.TimeFactor, 2))
	}
	if e.NewTime != nil {
		next := sensitometry.Exposure{Amount: e.NewTime.Value, Unit: e.TimeUnit}
		fmt.Fprintf(&b, "  next print       %s\n", next.WithDoubt(e.NewTime.SD))
	}
	bullets(&b, "Mind", e.Warnings)
	fmt.Fprintf(&b, "\n%s\n", doubtLine)
	_, err := io.WriteString(w, b.String())
	return err
}
