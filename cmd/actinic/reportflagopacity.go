package main

import (
	"fmt"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/printer"
)

// opacityPage is the report of prints of ink colours.
func (r *opacityResult) opacityPage(k *calibration.Inks) (report.Page, error) {
	sections, err := r.opacitySections(k)
	return report.Page{
		Title: "UV density of ink colours", Lead: r.opacityLead(), Next: r.opacityNext(),
		Sections: append(sections, keepSections(setupSection(k.Setup, nil, ""), cautionSection(r.Cautions))...),
		Foot:     reportFoot(k.Made, k.Inputs),
	}, err
}

// opacitySections are what the prints told.
func (r *opacityResult) opacitySections(k *calibration.Inks) ([]report.Section, error) {
	ranking := figureSection(r.rankingFigure(), "Colours by rank, the best on top. Where a bar ends in a point, the print tells only what the colour stops at least.")
	ranking.Table = r.rankingTable()
	if len(r.Ranking) > 0 {
		ranking.Text = []string{"“At ink” in the table is the film ink that reaches the needed range. Ink load, steepest and levels count up to there: steepest is the UV density that one code value adds where the ramp rises fastest, levels are those of 8 bits."}
	}
	for _, s := range r.Advice {
		ranking.Warnings = append(ranking.Warnings, s.Text)
	}
	sections := keepSections(r.opacitySection(), outlierSection(r.Outliers), ranking)
	if r.Blend != nil && r.Model != nil {
		figure, err := blendFigure(k)
		if err != nil {
			return nil, err
		}
		sections = append(sections, figureSection(figure,
			"What each of the printer's levels stops. Where the line is steep, one level is a large step of tone; the ink blend goes round such places."))
	}
	return append(sections, keepSections(spectralSection(r.Spectral), unevennessSection(r.Unevenness))...), nil
}

func (r *opacityResult) opacityLead() []string {
	lead := []string{fmt.Sprintf("UV density of %s from %s: %s.", counted(r.Colours, "colour"), counted(len(r.Prints), "print"), reachText(r.Numbers, r.Colours-r.Numbers))}
	if r.InkColour != nil {
		lead = append(lead, fmt.Sprintf("Ink colour %s: %s.", rgbText(r.InkColour.RGB()), r.reason()))
	}
	return lead
}

func (r *opacityResult) opacityNext() []string {
	switch {
	case r.InkColour == nil:
		return []string{"Give `--range` or `--process`, so that the colours can be ranked, or choose one with `--colour`."}
	case r.File == "" || r.File == standardStream:
		return []string{"Write the inks file: add `-o NAME.inks.json`.", "Print a ramp in the ink colour: `actinic chart ramp --ink-colour NAME.inks.json -o ramp`."}
	}
	return []string{fmt.Sprintf("Print a ramp in the ink colour: `actinic chart ramp --ink-colour %s -o ramp`.", typed(r.File)),
		"Scan its print and read it: `actinic read SCAN --chart ramp.chart.json -o ramp.csv`.",
		fmt.Sprintf("Make the calibration: `actinic curve --ramp ramp.csv --ink-colour %s -o NAME.calibration.json`; add `--tablet ramp.tablet.csv` if a step tablet lay in the window.", typed(r.File))}
}

// opacitySection says what was read, print by print.
func (r *opacityResult) opacitySection() report.Section {
	s := report.Section{Heading: "What was measured", Warnings: r.Warnings}
	for i := range r.Prints {
		name := r.Prints[i].Readings
		if len(r.Prints) > 1 {
			name = fmt.Sprintf("Print %d (%s)", i+1, name)
		}
		s.Text = append(s.Text, name+": "+strings.Join(r.printWords(i), "; ")+".")
	}
	if r.NeededRange != nil {
		s.Text = append(s.Text, "Needed range: "+neededText(r.NeededRange)+".")
	}
	if m := r.Model; m != nil && m.HeldOutRMS != nil {
		s.Text = append(s.Text, fmt.Sprintf("A colour guessed from the others alone lies within %.3f of its reading as a rule.", *m.HeldOutRMS))
	}
	s.Text = append(s.Text, doubtSentence)
	return s
}

// rankingTable is the ranking in numbers, or the densest colours without one.
func (r *opacityResult) rankingTable() *report.Table {
	if len(r.Ranking) == 0 {
		t := &report.Table{Caption: "The densest colours", Head: []string{"Red, green, blue", "UV density", "Stops"}, Numbers: []bool{false, true, true}}
		for _, c := range r.Densest {
			uv, stops := rankedUV(printer.Ranked{UVDensity: c.UVDensity, SD: c.SD, AtLeast: c.AtLeast})
			t.Rows = append(t.Rows, []string{rgbText(printer.RGB(c.RGB())), uv, stops})
		}
		return t
	}
	t := &report.Table{Caption: "Ranked colours", Head: []string{"Red, green, blue", "UV density", "Stops", "At ink", "Ink load", "Steepest", "Levels"},
		Numbers: []bool{false, true, true, true, true, true, true}}
	for _, c := range r.Ranking {
		uv, stops := rankedUV(c)
		at := "–"
		if c.Reaches {
			at = fmt.Sprintf("%.0f %%", c.InkPercent)
		}
		t.Rows = append(t.Rows, []string{rgbText(c.RGB()), uv, stops, at, fmt.Sprintf("%.0f %%", c.InkLoad), fmt.Sprintf("%.3f", c.Steepest), fmt.Sprint(c.Levels)})
	}
	return t
}

// spectralSection holds what spectra predict against the print.
func spectralSection(k *calibration.Spectral) report.Section {
	if k == nil {
		return report.Section{}
	}
	t := report.Table{Caption: "UV density predicted from spectra, " + k.Readings, Head: []string{"Sample", "Predicted", "With other lights", "By print", "Difference"},
		Numbers: []bool{false, true, true, true, true}}
	for _, p := range k.Samples[:min(len(k.Samples), mostSamplesShown)] {
		t.Rows = append(t.Rows, []string{p.Sample, densityText(p.UVDensity), spreadText(p), printText(p), differenceText(p)})
	}
	text := []string{
		fmt.Sprintf("Lamp: %s, %s. Sensitiser: %s, %s. Light acts mainly from %.0f to %.0f nm.", k.Lamp.Name, k.Lamp.About, k.Sensitiser.Name, k.Sensitiser.About, k.BandNM[0], k.BandNM[2]),
		"A prediction is approximate; the print decides."}
	if rest := len(k.Samples) - len(t.Rows); rest > 0 {
		text = append(text, fmt.Sprintf("There are %d samples more; `--json` gives them all.", rest))
	}
	return report.Section{Heading: "Predicted from spectra", Table: &t, Text: text}
}

// mostSamplesShown is how many samples of spectra a report has.
const mostSamplesShown = 100
