package report

import (
	"fmt"
	"math"
)

// Figure is one plot: lines with bands, points and guide lines over two axes, or
// bars.
type Figure struct {
	Title  string
	X, Y   Axis
	Series []Series
	Points []Points
	Guides []Guide
	Bars   []Bar // a figure of bars holds nothing else but guides
}

// Axis is a scale of a figure. Label names the quantity and its unit. Min and
// Max are the ends; both zero takes the ends from the data.
type Axis struct {
	Label    string
	Min, Max float64
}

// Series is a line. Y, Low and High belong to the values of X, which must not
// fall. Low and High are the ends of the band about Y; both nil draws none.
type Series struct {
	Name      string
	X, Y      []float64
	Low, High []float64
	Aim       bool // drawn as an aim: dark, thin, dashed, over the others
}

// Points are readings. Spoiled ones are drawn as crosses.
type Points struct {
	Name    string
	X, Y    []float64
	Spoiled bool
}

// Guide is a labelled straight line across the figure: up and down at X, or
// from side to side at Y. The other of the two must be NaN.
type Guide struct {
	Name string
	X, Y float64
}

// GuideAtX returns a guide that runs up and down at x.
func GuideAtX(name string, x float64) Guide { return Guide{Name: name, X: x, Y: math.NaN()} }

// GuideAtY returns a guide that runs from side to side at y.
func GuideAtY(name string, y float64) Guide { return Guide{Name: name, X: math.NaN(), Y: y} }

// check returns an error that names the first thing in the figure that cannot
// be drawn.
func (f Figure) check() error {
	if len(f.Series)+len(f.Points)+len(f.Bars) == 0 {
		return fmt.Errorf("report: figure %q has nothing to draw", f.Title)
	}
	if err := f.checkBars(); err != nil {
		return err
	}
	for _, s := range f.Series {
		if err := s.check(); err != nil {
			return err
		}
	}
	for _, p := range f.Points {
		if err := checkValues(p.Name, len(p.X), p.X, p.Y); err != nil {
			return err
		}
	}
	for _, g := range f.Guides {
		if math.IsNaN(g.X) == math.IsNaN(g.Y) || math.IsInf(g.X, 0) || math.IsInf(g.Y, 0) {
			return fmt.Errorf("report: guide %q at x %v, y %v: one number and one NaN expected", g.Name, g.X, g.Y)
		}
	}
	return nil
}

func (s Series) check() error {
	if len(s.X) < 2 {
		return fmt.Errorf("report: line %q has %d points, two or more expected", s.Name, len(s.X))
	}
	if (s.Low == nil) != (s.High == nil) {
		return fmt.Errorf("report: line %q has one end of its band without the other", s.Name)
	}
	columns := [][]float64{s.X, s.Y}
	if s.Low != nil {
		columns = append(columns, s.Low, s.High)
	}
	if err := checkValues(s.Name, len(s.X), columns...); err != nil {
		return err
	}
	for i := 1; i < len(s.X); i++ {
		if s.X[i] < s.X[i-1] {
			return fmt.Errorf("report: line %q runs back from %v to %v", s.Name, s.X[i-1], s.X[i])
		}
	}
	return nil
}

func checkValues(name string, count int, columns ...[]float64) error {
	for _, column := range columns {
		if len(column) != count {
			return fmt.Errorf("report: %q has columns of %d and %d values", name, count, len(column))
		}
		for i, v := range column {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("report: %q has %v as value %d, a finite number expected", name, v, i+1)
			}
		}
	}
	return nil
}
