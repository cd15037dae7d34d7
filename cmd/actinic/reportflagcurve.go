package main

import (
	"fmt"
	"path/filepath"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/sensitometry"
)

// curvePage is the report of a calibration.
func curvePage(e *calibration.Estimate, c *calibration.Calibration, r curveResult) (report.Page, error) {
	sections, err := curveSections(e, c, r)
	return report.Page{
		Title: "Calibration " + filepath.Base(r.File), Lead: curveLead(c, r), Next: curveNext(c, r),
		Sections: sections, Foot: reportFoot(c.Made, c.Inputs),
	}, err
}

// curveSections are what a calibration found, in the order of the job.
func curveSections(e *calibration.Estimate, c *calibration.Calibration, r curveResult) ([]report.Section, error) {
	expected, err := printFigure(c)
	if err != nil {
		return nil, err
	}
	sections := keepSections(measuredSection(c, r), outlierSection(c.Quality.Outliers))
	if e.HasTablet() {
		sections = append(sections, figureSection(characteristicFigure(e),
			characteristicCaption))
	}
	if c.Ink.UVDensity != nil {
		sections = append(sections, figureSection(uvDensityFigure(c),
			"What the ink stops of the light, as this sensitiser sees it, from clear film to full ink."))
	}
	if e.HasRamp() {
		sections = append(sections, rampSection(e, c))
	}
	curve := figureSection(curveFigure(c), "The ink that each tone of a picture is printed with.")
	curve.Table = toneTable(c)
	return append(sections, keepSections(curve,
		figureSection(expected, "Where the line leaves the aim, the ink or the paper ends. The tint is the doubt of one print, other prints' scatter included."),
		printsSection(r.Prints), unevennessSection(r.Unevenness),
		setupSection(c.Setup, c.Exposure.Given, c.Exposure.Unit), cautionSection(r.Cautions))...), nil
}

// curveLead says in two lines how sure the curve is and how far the ink goes.
func curveLead(c *calibration.Calibration, r curveResult) []string {
	lead := []string{fmt.Sprintf("The middle tone is known to %s, any tone to %s or better. With the usual scatter from print to print, 95 of 100 prints have their middle tone within %.0f L* of what is expected.",
		toneDoubt(r.MiddleSD), toneDoubt(r.LargestSD), 2*r.PrintSD)}
	if r.InkRange != nil {
		return append(lead, fmt.Sprintf("The ink range is %s%s.", valueText(*r.InkRange, 2), reachWords(r.CurveSummary)))
	}
	return append(lead, "There was no step tablet: the curve holds for this process, paper and exposure, and the UV density of the ink is not known.")
}

// curveNext says what to do with a calibration.
func curveNext(c *calibration.Calibration, r curveResult) []string {
	file := typed(r.File)
	var next []string
	if len(r.Warnings) > 0 {
		next = append(next, "Read what stands under “Mind” first: it may save a sheet of film.")
	}
	given := "as long as the chart"
	if r.Exposure != nil {
		given = "for " + sensitometry.Exposure{Amount: *r.Exposure, Unit: r.Unit}.String()
	}
	next = append(next, fmt.Sprintf("Make a negative, `actinic negative PICTURE --calibration %s -o film.tif`, and expose it %s.", file, given),
		fmt.Sprintf("See the print beforehand: `actinic proof PICTURE --calibration %s -o proof.png`.", file))
	if c.Doubt != nil {
		next = append(next, fmt.Sprintf("For less doubt, ask whether a second chart is worth its film: `actinic chart next --calibration %s -o next`.", file))
	}
	return append(next, fmt.Sprintf("Hold a finished print against its aim: `actinic check READINGS --calibration %s`.", file))
}

// measuredSection is the table of what the readings say.
func measuredSection(c *calibration.Calibration, r curveResult) report.Section {
	t := report.Table{Caption: "What the readings say", Head: []string{"Quantity", "Value", "Meaning"}, Numbers: []bool{false, true, false}}
	add := func(name, value, meaning string) { t.Rows = append(t.Rows, []string{name, value, meaning}) }
	if r.InkRange != nil {
		add("Ink range", valueText(*r.InkRange, 2), "UV density of full ink (log10)")
		add("Needed range", optionalText(r.NeededRange, 2), "from paper white to black (log10)")
		add("Exposure scale", optionalText(r.ExposureScale, 2), "from the first tone to 90 % of black (log10)")
	}
	if r.FirstBlack != nil && r.Exposure != nil {
		first := sensitometry.Exposure{Amount: r.FirstBlack.Value, Unit: r.Unit}
		add("First black", first.WithDoubt(r.FirstBlack.SD), "the shortest exposure that reaches black through clear film")
	}
	add("Picture black", fmt.Sprintf("L* %.1f", r.BlackLstar), fmt.Sprintf("on the print, with %.1f %% film ink", r.BlackInk))
	add("Picture white", fmt.Sprintf("L* %.1f", r.WhiteLstar), fmt.Sprintf("on the print, with %.1f %% film ink", r.WhiteInk))
	add("Aim", c.Aim.Name, "the tones wanted between these two")
	return report.Section{Heading: "What was measured", Text: []string{fmt.Sprintf("%d readings%s.", r.Readings, noiseWords(r.CurveSummary)), doubtSentence}, Table: &t, Warnings: r.Warnings}
}

// mostRamps is how many prints' readings a figure shows: as many as it has shapes
// for.
const mostRamps = 4

// rampSection shows what the film ink printed, readings and all.
func rampSection(e *calibration.Estimate, c *calibration.Calibration) report.Section {
	var sets []report.Points
	ramps := e.RampPoints()
	for _, r := range ramps[:min(len(ramps), mostRamps)] {
		sets = append(sets, report.Points{Name: "readings of " + r.File, X: r.Good.X, Y: r.Good.Y})
	}
	var spoiled report.Points
	for _, r := range ramps {
		spoiled.X, spoiled.Y = append(spoiled.X, r.Spoiled.X...), append(spoiled.Y, r.Spoiled.Y...)
	}
	spoiled.Name, spoiled.Spoiled = "given little weight", true
	caption := "Readings stand as they were read: what is uneven on the sheet is still in them, and is not in the line."
	if len(ramps) > 1 {
		caption += " Each print has its own exposure; the line is that of the first."
	}
	if len(ramps) > mostRamps {
		caption += fmt.Sprintf(" Of %d prints the readings of the first %d are shown.", len(ramps), mostRamps)
	}
	return figureSection(report.InkToPrint(series("print tone", c.PrintLine()), append(sets, spoiled)), caption)
}

// toneParts is in how many parts the table of tones divides the scale.
const toneParts = 8

// toneTable is the curve in numbers.
func toneTable(c *calibration.Calibration) *report.Table {
	k := c.Curve
	t := &report.Table{Caption: "The curve in numbers", Head: []string{"Picture tone (L*)", "Film ink (%)"}}
	if k.UVDensity != nil {
		t.Head = append(t.Head, "UV density")
	}
	t.Head = append(t.Head, "Aim (L*)", "Doubt of the curve (L*)", "Doubt of one print (L*)")
	for part := range toneParts + 1 {
		i := part * (len(k.Tone) - 1) / toneParts
		row := []string{fmt.Sprintf("%.1f", k.Tone[i]), fmt.Sprintf("%.2f", k.Ink[i])}
		if k.UVDensity != nil {
			row = append(row, fmt.Sprintf("%.3f", k.UVDensity[i]))
		}
		t.Rows = append(t.Rows, append(row, fmt.Sprintf("%.1f", k.AimLstar[i]), fmt.Sprintf("± %.2f", k.ToneSD[i]), fmt.Sprintf("± %.1f", k.PrintSD[i])))
	}
	for range t.Head {
		t.Numbers = append(t.Numbers, true)
	}
	return t
}

// printsSection says how several prints stand to each other.
func printsSection(prints []calibration.PrintExposure) report.Section {
	lines := printLines(prints)
	if len(lines) == 0 {
		return report.Section{}
	}
	return report.Section{Heading: "The prints", Text: append([]string{"Each against the first in exposure, and against the mean of the others in all else."}, lines...)}
}
