package main

import (
	"fmt"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/recipe"
	"actinic/process/sensitometry"
)

// Sections that reports of several commands share. Each is empty, without a
// heading, where there is nothing to say; keepSections leaves those out.

func keepSections(all ...report.Section) []report.Section {
	var out []report.Section
	for _, s := range all {
		if s.Heading != "" {
			out = append(out, s)
		}
	}
	return out
}

// mostOutliersShown is how many rows of readings that do not fit a report has.
const mostOutliersShown = 40

// outlierSection names the readings that were given little weight.
func outlierSection(all []calibration.Outlier) report.Section {
	if len(all) == 0 {
		return report.Section{}
	}
	t := report.Table{Caption: "Readings given little weight", Head: []string{"Patch or step", "File", "Off by (L*)"}, Numbers: []bool{false, false, true}}
	for _, o := range all[:min(len(all), mostOutliersShown)] {
		t.Rows = append(t.Rows, []string{o.ID, o.File, fmt.Sprintf("%+.1f", o.Off)})
	}
	text := []string{"Look at these places on the print: dust, a pinhole, a finger mark, a slip of the pen. In the figures they are crosses."}
	if rest := len(all) - len(t.Rows); rest > 0 {
		text = append(text, fmt.Sprintf("There are %d more.", rest))
	}
	return report.Section{Heading: "Readings that do not fit", Text: text, Table: &t}
}

// unevennessSection says how light and coating differ over the sheet.
func unevennessSection(u *calibration.Unevenness) report.Section {
	if lines := u.Lines(); len(lines) > 0 {
		return report.Section{Heading: "Unevenness over the sheet", Text: append(lines, "It was taken out of the readings.")}
	}
	return report.Section{}
}

// cautionSection holds what the process card warns of, and where no process was
// named what every process needs.
func cautionSection(cautions []string) report.Section {
	if len(cautions) == 0 {
		cautions = []string{recipe.GeneralCaution()}
	}
	return report.Section{Heading: "Safety", Warnings: cautions}
}

// setupSection says what the report holds for, as far as it was noted.
func setupSection(s calibration.Setup, given *float64, unit string) report.Section {
	t := report.Table{Caption: "The setup", Head: []string{"", "As noted"}}
	add := func(name, value string) {
		if value != "" {
			t.Rows = append(t.Rows, []string{name, value})
		}
	}
	add("Printer", s.Printer)
	add("Film", s.Film)
	add("Ink colour", s.InkColour)
	add("Ink batch", s.InkBatch)
	add("Process", s.Process)
	add("Paper", s.Paper)
	add("Lamp", s.Lamp)
	add("Coats", s.Coats)
	add("Drying", s.Drying)
	add("Toning", s.Toning)
	if given != nil {
		add("Exposure given", sensitometry.Exposure{Amount: *given, Unit: unit}.String())
	}
	if len(t.Rows) == 0 {
		return report.Section{}
	}
	t.Head[0] = "Part"
	return report.Section{Heading: "What it holds for", Table: &t,
		Text: []string{"Another printer, film, ink, paper, lamp or way of coating is another setup."}}
}

// figureSection is a section of one figure. Readings that do not fit are crosses
// in it.
func figureSection(f report.Figure, caption string, text ...string) report.Section {
	return report.Section{Heading: f.Title, Text: text, Figure: &f, Caption: caption}
}

// rangeCells are the three units of a range.
func rangeCells(name string, r *calibration.Range) []string {
	if r == nil {
		return []string{name, "not reached", "", ""}
	}
	steps := ""
	if r.Steps != nil {
		steps = valueText(*r.Steps, 1)
	}
	return []string{name, valueText(r.Log10, 2), valueText(r.Stops, 1), steps}
}

// characteristicCaption stands below the characteristic curve.
const characteristicCaption = "How the coated paper answers to light. Rings are steps of the tablet; the tint is the doubt."

// doubtSentence says what plus-minus means on the page.
var doubtSentence = strings.Replace(doubtLine, "+- is", "\u00b1 is", 1)
