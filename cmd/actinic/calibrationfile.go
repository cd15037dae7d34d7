package main

import (
	"os"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/process/fault"
)

// readCalibration reads a calibration that the user named; "-" is standard
// input.
func (a *app) readCalibration(name string) (*calibration.Calibration, error) {
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return calibration.Decode(in, inputName(name))
}

// appendInput adds a file to the inputs that a calibration states. Standard
// input is gone by then and is left out.
func appendInput(inputs []calibration.Input, name string) ([]calibration.Input, error) {
	if name == standardStream {
		return inputs, nil
	}
	content, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return append(inputs, calibration.NewInput(name, content)), nil
}

// curveFigure draws the curve of a calibration.
func curveFigure(c *calibration.Calibration) report.Figure {
	return report.InkCurve(series("film ink", c.CurveLine()), nil)
}

// uvDensityFigure draws the UV density of a calibration's ink.
func uvDensityFigure(c *calibration.Calibration) report.Figure {
	return report.UVDensity(series("UV density", c.UVDensityLine()), nil, guides(c.InkLandmarks()))
}

// printFigure draws the print that a calibration expects.
func printFigure(c *calibration.Calibration) (report.Figure, error) {
	expected, aim, err := c.ExpectedPrint()
	return report.ExpectedPrint(series("print to expect, with the scatter from print to print", expected), series("aim", aim), nil), err
}

// paperFigure draws the characteristic curve that a calibration holds.
func paperFigure(c *calibration.Calibration) report.Figure {
	return report.CharacteristicCurve(series("print density", c.CharacteristicLine()), nil, nil)
}

// noTabletFault says that a calibration without a step tablet can't give what
// was asked for.
func noTabletFault(name, wanted string) error {
	return fault.New(inputName(name), "", wanted+" needs the UV density of the ink, which is not known: the calibration was made without a step tablet",
		"read a step tablet on the same print and make the calibration with --tablet")
}

// notNeutralFault says that a grey profile can't carry an ink colour.
func notNeutralFault(name string) error {
	return fault.New(inputName(name), "", "the ink ramp is not neutral, and a grey profile can't carry its colour",
		"use --link and --grey-icc, or make the films with 'actinic negative'")
}
