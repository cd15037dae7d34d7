package main

import (
	"image/color"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/printer"
)

// mostBars is as many colours as a plot has room for.
const mostBars = 20

// rankingFigure draws the colours that the text lists: ranked, or the densest
// where there is no ranking.
func (r *opacityResult) rankingFigure() report.Figure {
	ranked := r.Ranking
	if len(ranked) == 0 {
		for _, c := range r.Densest {
			ranked = append(ranked, printer.Ranked{Red: c.Red, Green: c.Green, Blue: c.Blue, UVDensity: c.UVDensity, SD: c.SD, AtLeast: c.AtLeast})
		}
	}
	var bars []report.Bar
	for _, c := range ranked {
		if len(bars) < mostBars && (c.UVDensity != nil || c.AtLeast != nil) {
			bars = append(bars, barOf(c, r.InkColour))
		}
	}
	needed := 0.0
	if r.NeededRange != nil {
		needed = r.NeededRange.Value.Value
	}
	return report.RankedColours(bars, needed)
}

// barOf is the bar of one colour, with its 95 % band: two standard uncertainties
// either way.
func barOf(c printer.Ranked, chosen *calibration.ColourCode) report.Bar {
	b := report.Bar{Name: rgbText(c.RGB()), Swatch: color.NRGBA{uint8(c.Red), uint8(c.Green), uint8(c.Blue), 255}, Reaches: c.Reaches}
	if chosen != nil && chosen.RGB() == c.RGB() {
		b.Note = "ink colour"
	}
	if c.UVDensity == nil {
		b.Value, b.Open = *c.AtLeast, true
		return b
	}
	b.Value, b.Low, b.High = *c.UVDensity, *c.UVDensity, *c.UVDensity
	if c.SD != nil {
		b.Low, b.High = b.Value-2**c.SD, b.Value+2**c.SD
	}
	return b
}

// blendFigure draws the ink blend beside the straight line, level by level. It
// fails where there is no ink colour to go to.
func blendFigure(k *calibration.Inks) (report.Figure, error) {
	straight, err := k.Path(true)
	if err != nil {
		return report.Figure{}, err
	}
	blend, err := k.Path(false)
	if err != nil {
		return report.Figure{}, err
	}
	m, err := k.Model()
	if err != nil {
		return report.Figure{}, err
	}
	needed := 0.0
	if k.NeededRange != nil {
		needed = k.NeededRange.Value.Value
	}
	series := func(name string, p printer.Path) report.Series {
		s := report.Series{Name: name}
		for _, l := range printer.LevelsOf(m, p, printer.GradationOptions{Range: needed}) {
			s.X, s.Y = append(s.X, l.Percent), append(s.Y, l.UVDensity)
		}
		return s
	}
	return report.Gradation(series("straight line", straight), series("ink blend", blend), needed), nil
}
