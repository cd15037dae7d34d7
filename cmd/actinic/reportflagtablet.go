package main

import (
	"fmt"
	"time"

	"actinic/negative/report"
	"actinic/process/calibration"
)

// tabletPage is the report of a print of a step tablet.
func tabletPage(e *calibration.Estimate, s calibration.TabletSummary, made time.Time, inputs []calibration.Input) report.Page {
	var lead []string
	if !s.Falling {
		lead = append(lead, firstBlackText(s.FirstBlackShare, s.FirstBlack, s.Exposure, s.Unit))
	}
	if s.NeededRange != nil {
		lead = append(lead, fmt.Sprintf("From paper white to black an ink has to stop %s, the needed range.", valueText(s.NeededRange.Log10, 2)))
	}
	return report.Page{
		Title: "Step tablet, " + s.Readings, Lead: lead, Next: tabletNext(s),
		Sections: keepSections(tabletSection(s), outlierSection(s.Outliers),
			figureSection(characteristicFigure(e), characteristicCaption),
			densitySection(s), cautionSection(nil)),
		Foot: reportFoot(made, inputs),
	}
}

func tabletNext(s calibration.TabletSummary) []string {
	if s.FirstBlackShare == nil && !s.Falling {
		return []string{"Print the tablet again with twice the exposure: the print did not reach black.",
			"Read it and run `actinic tablet` on the new readings."}
	}
	return []string{"Print a ramp of film ink at the exposure found, with the tablet in its window: `actinic chart ramp -o ramp`.",
		"Read the print with `actinic read`, and make the calibration with `actinic curve`.",
		"If black ink does not stop the needed range, `actinic chart colours` and `actinic opacity` find a colour that does."}
}

// tabletSection is the table of ranges.
func tabletSection(s calibration.TabletSummary) report.Section {
	t := report.Table{Caption: "Ranges in three units", Head: []string{"Range", "log10", "Stops (0.30)", "Tablet steps"}, Numbers: []bool{false, true, true, true},
		Rows: [][]string{rangeCells("Exposure scale", s.ExposureScale), rangeCells("Needed range", s.NeededRange)}}
	text := []string{fmt.Sprintf("%d readings%s. The exposure scale runs from the first tone to 90 %% of net maximum density, the needed range from paper white to black.", s.Steps, stepWords(s.Increment)), doubtSentence}
	if s.Nominal {
		text = append(text, "The tablet's densities are nominal; their own doubt is in it.")
	}
	var warnings []string
	for _, m := range s.Missing {
		warnings = append(warnings, m+".")
	}
	return report.Section{Heading: "What was measured", Text: text, Table: &t, Warnings: append(warnings, s.Reversed...)}
}

// densitySection is the table of densities and of places on the curve.
func densitySection(s calibration.TabletSummary) report.Section {
	iso := "not reached"
	if s.ISORange != nil {
		iso = fmt.Sprintf("R%d", *s.ISORange)
	}
	return report.Section{Heading: "The curve in numbers", Table: &report.Table{
		Caption: "Densities and log exposures (log10; 0 is the exposure that the print was given)",
		Head:    []string{"Quantity", "Value", "Meaning"}, Numbers: []bool{false, true, false},
		Rows: [][]string{
			{"Paper density", optionalText(s.PaperDensity, 2), "the coated, cleared paper"},
			{"Maximum density", optionalText(s.MaximumDensity, 2), ""},
			{"Average gradient", optionalText(s.AverageGradient, 2), "change of print density per log exposure"},
			{"ISO range", iso, "the exposure scale in hundredths"},
			{"First tone", optionalText(s.Toe, 2), "0.04 above the paper"},
			{"Speed point", optionalText(s.Speed, 2), "0.60 above the paper"},
			{"End of the scale", optionalText(s.Shoulder, 2), "90 % of net maximum density"},
			{"Black", optionalText(s.Black, 2), "97 % of net maximum density"},
		}}}
}
