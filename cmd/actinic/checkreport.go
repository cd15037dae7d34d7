package main

import (
	"fmt"

	"actinic/negative/report"
	"actinic/process/control"
	"actinic/process/sensitometry"
)

// checkPage is the report of 'check'.
func checkPage(c *control.Check) report.Page {
	p := report.Page{Title: "Check of " + c.Readings, Foot: reportFoot(c.Made, c.Inputs),
		Lead: []string{sentence(c.Answer.Text),
			fmt.Sprintf("Held against %s; %s: patch %s is the worst with %s L*, %.1f L* allowed (%s).",
				checkedAgainst(c), insideWords(c), c.Worst, signedLstar(c.WorstBy), c.Tolerance.Lstar, c.Tolerance.Source)}}
	p.Next = checkSteps(c)
	p.Sections = keepSections(checkMind(c), checkFigureSection(c), checkFittedSection(c), checkCastSection(c.Cast),
		setupSection(c.Setup, c.Record.Exposure, c.Record.ExposureUnit), checkRecordSection(c.Record),
		cautionSection(nil))
	return p
}

// checkSteps is what to do next, in order.
func checkSteps(c *control.Check) []string {
	again := "Print the same negative once more, all else the same, and check it: two prints that agree settle it."
	ramp := "Where it stays so, print a ramp, and make the calibration anew with `actinic chart ramp`, `actinic read` and `actinic curve`."
	switch c.Answer.Kind {
	case control.Nothing:
		return []string{"Print on; keep the check for `actinic drift`."}
	case control.Time:
		steps := []string{fmt.Sprintf("Multiply the exposure time by %s.", valueText(*c.TimeFactor, 2))}
		if c.NewTime != nil {
			steps = []string{fmt.Sprintf("Expose the next print for %s.", sensitometry.Exposure{Amount: c.NewTime.Value, Unit: c.TimeUnit}.WithDoubt(c.NewTime.SD))}
		}
		return append(steps, "Check the next print. Where it is inside the tolerance, `actinic check --update` moves the calibration's exposure.")
	case control.Contrast:
		return []string{"Compare humidity and drying of the paper, the developer and its dichromate with those of the calibration's print.", again, ramp}
	case control.Black:
		return []string{"Compare coating weight, sizing, humidity and paper with those of the calibration's print.", again, ramp}
	case control.Paper:
		return []string{"Look for fog (light, damp, old sensitiser), for clearing that was too short, and for another paper.", again, ramp}
	case control.NewRamp:
		return []string{"Make sure that paper, film, ink and process are those of the calibration.", ramp}
	}
	return []string{again, ramp}
}

func checkMind(c *control.Check) report.Section {
	if len(c.Warnings) == 0 {
		return report.Section{}
	}
	s := report.Section{Heading: "To keep in mind"}
	for _, w := range c.Warnings {
		s.Warnings = append(s.Warnings, sentence(w))
	}
	return s
}

// checkFigureSection draws print against aim, and lists the patches.
func checkFigureSection(c *control.Check) report.Section {
	t := report.Table{Caption: "Every patch", Head: []string{"Patch", "Aim (L*)", "Read (L*)", "Difference"}, Numbers: []bool{false, true, true, true}}
	for _, q := range c.Patches {
		name := q.ID
		if q.Spoiled {
			name += " (left out)"
		}
		t.Rows = append(t.Rows, []string{name, fmt.Sprintf("%.1f", q.Aim), fmt.Sprintf("%.1f", q.Read), signedLstar(q.Difference)})
	}
	f := checkFigure(c)
	return report.Section{Heading: f.Title, Figure: &f, Table: &t,
		Caption: "How much lighter (up) or darker (down) each patch is than its aim, from black at the left to paper white at the right, with the tolerance."}
}

// checkFigure is how much lighter or darker than its aim each patch is.
func checkFigure(c *control.Check) report.Figure {
	good, spoiled := report.Points{Name: "patches"}, report.Points{Name: "left out", Spoiled: true}
	for _, q := range c.Patches {
		to := &good
		if q.Spoiled {
			to = &spoiled
		}
		to.X, to.Y = append(to.X, q.Aim), append(to.Y, q.Difference)
	}
	limit := c.Tolerance.Lstar
	reach := max(limit, c.WorstBy, -c.WorstBy) * 1.2
	f := report.Figure{Title: "Print less aim", X: report.Axis{Label: "aim (L*)", Min: 0, Max: 100},
		Y:      report.Axis{Label: "difference (L*)", Min: -reach, Max: reach},
		Points: []report.Points{good},
		Guides: []report.Guide{report.GuideAtY("tolerance, lighter", limit), report.GuideAtY("aim", 0), report.GuideAtY("tolerance, darker", -limit)}}
	if len(spoiled.X) > 0 {
		f.Points = append(f.Points, spoiled)
	}
	return f
}

// checkFittedSection says how the print differs.
func checkFittedSection(c *control.Check) report.Section {
	s := report.Section{Heading: "What changed"}
	if c.ExposureOffset == nil {
		s.Text = []string{sentence("exposure and contrast are not known: " + c.NotFitted)}
		return s
	}
	t := report.Table{Caption: "The print against its aim", Head: []string{"Quantity", "Difference"}, Numbers: []bool{false, true}}
	add := func(name string, v control.Value, digits int, unit string) {
		t.Rows = append(t.Rows, []string{name, signedText(v, digits) + unit})
	}
	add("Exposure (log10)", *c.ExposureOffset, 3, "")
	t.Rows = append(t.Rows, []string{"Factor on the time", valueText(*c.TimeFactor, 2)})
	add("Contrast", control.Value{Value: 100 * c.Contrast.Value, SD: 100 * c.Contrast.SD}, 0, " %")
	add("Paper white (density)", *c.PaperDensity, 2, "")
	add("Depth of black (density)", *c.Depth, 2, "")
	t.Rows = append(t.Rows, []string{"Left after these", fmt.Sprintf("%.1f L*", *c.ShapeError)})
	s.Table = &t
	for _, e := range c.Answer.Explanations {
		s.Text = append(s.Text, fmt.Sprintf("How likely it is %s: %.0f %%.", e.Words(), 100*e.Share))
	}
	s.Text = append(s.Text, doubtSentence)
	return s
}

func checkCastSection(c *control.Cast) report.Section {
	if c == nil {
		return report.Section{}
	}
	t := report.Table{Caption: "Colour of every patch", Head: []string{"Patch", "L*", "a*", "b*", "From paper", "From mean hue"},
		Numbers: []bool{false, true, true, true, true, true}}
	for _, p := range c.Patches {
		t.Rows = append(t.Rows, []string{p.ID, fmt.Sprintf("%.1f", p.Lstar), fmt.Sprintf("%.1f", p.A), fmt.Sprintf("%.1f", p.B),
			fmt.Sprintf("%.1f", p.FromPaper), fmt.Sprintf("%.1f", p.FromHue)})
	}
	return report.Section{Heading: "Colour along the tone scale", Table: &t, Text: []string{
		"Differences are CIEDE2000: against the paper's own colour at the lightness of the patch, and against the mean hue of the image, counted from the paper. A difference of 1 is not noticed side by side, 2 usually is."}}
}

// checkRecordSection is what is known of the print.
func checkRecordSection(r control.Record) report.Section {
	t := report.Table{Caption: "This print", Head: []string{"What", "As noted"}}
	for _, line := range r.Lines() {
		t.Rows = append(t.Rows, []string{line[0], line[1]})
	}
	if len(t.Rows) == 0 {
		return report.Section{}
	}
	return report.Section{Heading: "The print's own record", Table: &t}
}
