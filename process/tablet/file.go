package tablet

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"actinic/process/density"
	"actinic/process/measure/delimited"
)

// Columns of a calibrated tablet's file.
const (
	colStep    = "step"
	colDensity = "tablet_density"
	colSD      = "sd"
)

// ReadFile reads the calibrated tablet in the CSV file at path; see ReadCSV.
func ReadFile(path string) (Tablet, error) {
	text, err := delimited.LoadFile(path)
	if err != nil {
		return Tablet{}, err
	}
	return fromText(text)
}

// ReadCSV reads a calibrated tablet: columns step and tablet_density, and sd
// where the laboratory states a standard uncertainty (half of an expanded one with
// k = 2). Where it does not, CalibratedSD stands. file is the name for messages.
//
// The error is a *fault.Error with line and column unless there are 2 to 200
// steps of different names, in order of rising density from 0 to 6.
func ReadCSV(r io.Reader, file string) (Tablet, error) {
	text, err := delimited.Load(r, file)
	if err != nil {
		return Tablet{}, err
	}
	return fromText(text)
}

func fromText(text *delimited.Text) (Tablet, error) {
	t, err := text.Table()
	if err != nil {
		return Tablet{}, err
	}
	if err := checkColumns(t); err != nil {
		return Tablet{}, err
	}
	tab := Tablet{Calibrated: true, Name: filepath.Base(text.File)}
	for _, row := range t.Rows {
		s, err := readStep(t, row)
		if err != nil {
			return Tablet{}, err
		}
		if err := tab.checkNext(t, row, s); err != nil {
			return Tablet{}, err
		}
		tab.Steps = append(tab.Steps, s)
	}
	if n := len(tab.Steps); n < MinSteps || n > MaxSteps {
		return Tablet{}, t.Fault(0, "", fmt.Sprintf("%d steps, expected %d to %d", n, MinSteps, MaxSteps), "")
	}
	return tab, nil
}

func checkColumns(t *delimited.Table) error {
	if err := t.CheckColumns([]string{colStep, colDensity, colSD}); err != nil {
		return err
	}
	for _, name := range []string{colStep, colDensity} {
		if t.Column(name) < 0 {
			return t.Fault(t.HeaderLine, "", "no column "+name, "a calibrated tablet has the columns step,tablet_density and, if known, sd")
		}
	}
	return nil
}

func readStep(t *delimited.Table, row delimited.Row) (Step, error) {
	s := Step{Name: row.Cells[t.Column(colStep)], SD: CalibratedSD}
	if s.Name == "" {
		return s, t.Fault(row.Line, colStep, "empty, expected the number of the step", "")
	}
	d, err := bounded(t, row, colDensity, "a density from 0 to 6")
	if err != nil {
		return s, err
	}
	s.Density = density.Density(d)
	if i := t.Column(colSD); i >= 0 && row.Cells[i] != "" {
		s.SD, err = bounded(t, row, colSD, "a standard uncertainty from 0 to 6")
	}
	return s, err
}

// bounded reads a number that must lie from 0 to MaxDensity.
func bounded(t *delimited.Table, row delimited.Row, name, want string) (float64, error) {
	v, err := t.Number(row, t.Column(name), want)
	if err == nil && (v < 0 || v > MaxDensity) {
		err = t.Fault(row.Line, name, fmt.Sprintf("found %s, expected %s", row.Cells[t.Column(name)], want), "")
	}
	return v, err
}

// checkNext refuses a step that repeats a name or is less dense than the one
// before it. Equal densities pass: laboratories round.
func (tab *Tablet) checkNext(t *delimited.Table, row delimited.Row, s Step) error {
	if slices.ContainsFunc(tab.Steps, func(o Step) bool { return o.Name == s.Name }) {
		return t.Fault(row.Line, colStep, fmt.Sprintf("step %s twice", s.Name), "give each step once")
	}
	if n := len(tab.Steps); n > 0 && s.Density < tab.Steps[n-1].Density {
		return t.Fault(row.Line, colDensity, fmt.Sprintf("found %s below the %s of step %s, expected rising densities",
			delimited.FormatNumber(float64(s.Density)), delimited.FormatNumber(float64(tab.Steps[n-1].Density)), tab.Steps[n-1].Name),
			"list the steps from the clear end, and check for a slip of typing")
	}
	return nil
}
