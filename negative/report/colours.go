package report

import (
	"fmt"
	"image/color"
	"math"
)

// Bar is one printer colour of a ranking.
type Bar struct {
	Name   string // its code values
	Swatch color.NRGBA
	// Value is its UV density, Low and High the ends of its band. Where Open is set
	// only a lower bound is known: it is Value, and Low and High are not used.
	Value, Low, High float64
	Open             bool
	Reaches          bool   // what is needed
	Note             string // a few words written on the bar
}

// mostBars is how many bars a plot has room for.
const mostBars = 20

// RankedColours returns the figure of ranked printer colours: a swatch and a bar
// of UV density for each, the first on top. A needed range of 0 draws no line.
func RankedColours(bars []Bar, neededRange float64) Figure {
	f := Figure{
		Title: "UV density of printer colours",
		X:     Axis{Label: "UV density, net above clear film (log10)"},
		Bars:  bars,
	}
	if neededRange > 0 {
		f.Guides = []Guide{GuideAtX(fmt.Sprintf("needed range %.2f", neededRange), neededRange)}
	}
	return f
}

// Gradation returns the figure of an ink blend beside the straight way: UV
// density of every printable level against film ink. A needed range of 0 draws
// no line.
func Gradation(straight, blend Series, neededRange float64) Figure {
	f := Figure{
		Title:  "UV density along the ink ramp, level by level",
		X:      Axis{Label: "film ink (%)", Max: 100},
		Y:      Axis{Label: "UV density, net above clear film (log10)"},
		Series: []Series{straight, blend},
	}
	if neededRange > 0 {
		f.Guides = []Guide{GuideAtY("needed range", neededRange)}
	}
	return f
}

// checkBars returns an error that names the first bar that cannot be drawn.
func (f Figure) checkBars() error {
	if len(f.Bars) == 0 {
		return nil
	}
	if len(f.Bars) > mostBars || len(f.Series)+len(f.Points) > 0 {
		return fmt.Errorf("report: figure %q has %d bars and %d lines, up to %d bars and nothing else expected", f.Title, len(f.Bars), len(f.Series)+len(f.Points), mostBars)
	}
	for _, b := range f.Bars {
		ends := []float64{b.Value}
		if !b.Open {
			ends = append(ends, b.Low, b.High)
		}
		for _, v := range ends {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("report: bar %q has %v, a finite number expected", b.Name, v)
			}
		}
	}
	return nil
}
