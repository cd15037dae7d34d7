package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"actinic/negative/report"
	"actinic/process/calibration"
)

// plotFlag is a flag that takes the name of a plot; its ending says the format.
type plotFlag string

func (f *plotFlag) Set(name string) error {
	if name != standardStream && plotFormat(name) == "" {
		return fmt.Errorf("expected a name that ends in .svg or .png")
	}
	*f = plotFlag(name)
	return nil
}

func (f *plotFlag) String() string { return string(*f) }
func (f *plotFlag) Type() string   { return "FILE" }

// plotFormat returns "svg" or "png" by the ending of a file name, else "".
// Standard output takes SVG.
func plotFormat(name string) string {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".svg":
		return "svg"
	case ".png":
		return "png"
	}
	if name == standardStream {
		return "svg"
	}
	return ""
}

// plotJob is the output of a figure into the file that the user named.
func plotJob(name plotFlag, figure report.Figure) job {
	format, kind := plotFormat(string(name)), textContent
	if format == "png" {
		kind = binaryContent
	}
	return job{string(name), kind, func(w io.Writer) error { return report.Plot(w, format, figure) }}
}

// series names a line of a calibration for a plot.
func series(name string, l calibration.Line) report.Series {
	return report.Series{Name: name, X: l.X, Y: l.Y, Low: l.Low, High: l.High}
}

// characteristicFigure draws the characteristic curve of an estimate with the
// tablet readings behind it.
func characteristicFigure(e *calibration.Estimate) report.Figure {
	good, spoiled := e.TabletPoints()
	readings := []report.Points{
		{Name: "tablet readings", X: good.X, Y: good.Y},
		{Name: "given little weight", X: spoiled.X, Y: spoiled.Y, Spoiled: true},
	}
	return report.CharacteristicCurve(series("print density", e.CharacteristicLine()), readings, guides(e.Landmarks()))
}

// guides turns landmarks into guides; densities lie across, log exposures
// upright.
func guides(marks []calibration.Landmark) []report.Guide {
	var out []report.Guide
	for _, m := range marks {
		if m.Upright {
			out = append(out, report.GuideAtX(m.Name, m.At))
		} else {
			out = append(out, report.GuideAtY(m.Name, m.At))
		}
	}
	return out
}
