package main

import (
	"errors"
	"slices"
	"strings"

	"actinic/negative/report"
	"actinic/process/control"
	"actinic/process/fault"
)

// quantityUVDensity is the chart of UV density by the negative's age.
const quantityUVDensity = "uv_density"

var quantityChoices = []string{control.QuantityExposure, control.QuantityDensity, control.QuantityPaper, control.QuantityMidTone, quantityUVDensity}

var quantityNames = strings.Join(quantityChoices, ", ")

// quantityFlag is a flag that takes the name of a chart.
type quantityFlag string

func (f *quantityFlag) Set(text string) error {
	if !slices.Contains(quantityChoices, text) {
		return errors.New("expected one of " + quantityNames)
	}
	*f = quantityFlag(text)
	return nil
}

func (f *quantityFlag) String() string { return string(*f) }
func (f *quantityFlag) Type() string   { return "NAME" }

// driftPlot is the chart that was asked for; without a name the first that
// moved, else the exposure offset, else the first that has values.
func driftPlot(r *control.DriftReport, quantity string) (report.Figure, error) {
	if quantity == quantityUVDensity {
		if r.Fading == nil {
			return report.Figure{}, fault.New("", "--quantity", "the checks do not tell UV density by age: four or more of a ramp are needed whose negatives differ in age by a day",
				"say when the negative was made when you check a print")
		}
		return fadingFigure(r.Fading), nil
	}
	for _, c := range r.Charts {
		wanted := c.Quantity == quantity || quantity == "" && (len(r.Findings) == 0 || r.Findings[0].Quantity == c.Quantity)
		if wanted && len(c.Points) > 0 {
			return chartFigure(c), nil
		}
	}
	if quantity == "" {
		quantity = "any quantity"
	}
	return report.Figure{}, fault.New("", "--plot", "no check tells "+strings.ReplaceAll(quantity, "_", " "), "draw another chart with --quantity NAME")
}

// chartFigure draws the control chart of one quantity.
func chartFigure(c control.DriftChart) report.Figure {
	n := float64(c.Points[len(c.Points)-1].Check)
	f := report.Figure{
		Title:  "Drift: " + c.Name,
		X:      report.Axis{Label: "check, in the order of time", Min: 0, Max: max(12, n+1)},
		Y:      report.Axis{Label: chartAxis(c)},
		Points: chartPoints(c),
	}
	if s := averageSeries(c); len(s[0].X) > 1 {
		f.Series = s
	}
	if b := c.Baseline; b != nil {
		f.Guides = append(f.Guides, report.GuideAtY("centre", b.Centre))
		if p := c.Points[len(c.Points)-1]; p.Low != nil {
			f.Guides = append(f.Guides, report.GuideAtY("lower limit", *p.Low), report.GuideAtY("upper limit", *p.High))
		}
	}
	return f
}

func chartAxis(c control.DriftChart) string {
	switch {
	case c.EqualExposure:
		return c.Name + " at equal exposure (" + c.Unit + ")"
	case c.Quantity == control.QuantityMidTone:
		return "mid-tone less its aim (L*)"
	}
	return c.Name + " (" + c.Unit + ")"
}

// chartPoints sorts the checks into those of the limits, those held against them,
// and those at which a rule fired.
func chartPoints(c control.DriftChart) []report.Points {
	sets := []report.Points{{Name: "limits are from these"}, {Name: "held against the limits"}, {Name: "a rule fired", Spoiled: true}}
	for _, p := range c.Points {
		set := &sets[1]
		switch {
		case len(p.Fired) > 0:
			set = &sets[2]
		case p.InLimits:
			set = &sets[0]
		}
		set.X, set.Y = append(set.X, float64(p.Check)), append(set.Y, p.Value)
	}
	return slices.DeleteFunc(sets, func(p report.Points) bool { return len(p.X) == 0 })
}

// averageSeries are the moving average and its own limits, which are no doubt of
// it and so no band.
func averageSeries(c control.DriftChart) []report.Series {
	s := []report.Series{{Name: "moving average"}, {Name: "its lower limit", Aim: true}, {Name: "its upper limit", Aim: true}}
	for _, p := range c.Points {
		if p.Average == nil {
			continue
		}
		for i, y := range []float64{*p.Average, *p.AverageLow, *p.AverageHigh} {
			s[i].X, s[i].Y = append(s[i].X, float64(p.Check)), append(s[i].Y, y)
		}
	}
	return s
}

// fadingFigure draws UV density over the age of the negative.
func fadingFigure(f *control.Fading) report.Figure {
	points := report.Points{Name: "checks"}
	for _, p := range f.Points {
		points.X, points.Y = append(points.X, p.Days), append(points.Y, 100*p.Share)
	}
	line := report.Series{Name: "fitted line"}
	for _, n := range f.Line {
		line.X, line.Y = append(line.X, n.Days), append(line.Y, 100*n.Share)
		line.Low, line.High = append(line.Low, 100*(n.Share-2*n.SD)), append(line.High, 100*(n.Share+2*n.SD))
	}
	return report.Figure{
		Title:  "UV density by the age of the negative",
		X:      report.Axis{Label: "age of the negative (days)"},
		Y:      report.Axis{Label: "UV density, % of what the calibration expects"},
		Series: []report.Series{line}, Points: []report.Points{points},
	}
}
