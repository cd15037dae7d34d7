package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"actinic/negative/chart"
	"actinic/negative/scan"
	"actinic/process/fault"
	"actinic/process/measure"

	"github.com/spf13/cobra"
)

// isReadings reports whether the files hold text, not pictures.
func (a *app) isReadings(names []string) (bool, error) {
	text := 0
	for _, name := range names {
		is, err := fileIsText(name)
		if err != nil {
			return false, err
		}
		if is {
			text++
		}
	}
	switch {
	case text == 0:
		return false, nil
	case len(names) > 1:
		return false, &usageError{where: "SCAN", what: "readings of an instrument beside other files", hint: "give one file of readings, or scans only"}
	}
	return true, nil
}

// fileIsText looks at the head of a file. What can't be opened or has no content
// is left to those who read it; standard input is never a picture here, nor is
// what can be read only once: its head would be lost.
func fileIsText(name string) (bool, error) {
	if name == standardStream {
		return true, nil
	}
	if about, err := os.Stat(name); err == nil && about.Mode()&os.ModeNamedPipe != 0 {
		return true, nil
	}
	f, err := os.Open(name)
	if err != nil {
		return false, nil // raster.Open says what is wrong in its own words
	}
	defer f.Close()
	head, err := bufio.NewReader(f).Peek(512)
	if err != nil && len(head) == 0 {
		return false, nil
	}
	return measure.IsText(head), nil
}

// readInstrument matches an instrument's readings to the chart.
func (a *app) readInstrument(cmd *cobra.Command, args []string, c *chart.Chart, o *readOptions) error {
	for _, name := range []string{"channel", "linear", "scale", "corners", "mirrored", "show", "steps", "tablet-out"} {
		if cmd.Flag(name).Changed {
			return &usageError{where: "--" + name, what: "it is for scans, and " + inputName(args[0]) + " holds readings", hint: "leave it out"}
		}
	}
	t, err := a.readReadings(args[0], &measure.Options{ByPatch: true})
	if err != nil {
		return err
	}
	table, match, err := chart.Match(t, c)
	if err != nil {
		return err
	}
	result := newReadResult(args, c, o)
	result.take(table, match)
	jobs := []job{csvJob(o.out, table), csvJob(result.named(&result.Fixed, beside(o.out, ".fixed.csv"), match.Fixed), match.Fixed)}
	return a.finishRead(result, o, jobs)
}

// writeScan writes what the scans say, and tells it.
func (a *app) writeScan(args []string, r *scan.Result, o *readOptions) error {
	result := newReadResult(args, r.Chart, o)
	result.Pages, result.Steps = r.Pages, len(r.Steps)
	result.Notices = append(result.Notices, r.Notices...)
	for _, f := range r.Flagged() {
		result.Flagged = append(result.Flagged, flaggedPatch{flaggedName(f), f.Flag})
	}
	jobs, err := result.tables(r, o)
	if err != nil {
		return err
	}
	if o.show != "" {
		result.Show = &o.show
		jobs = append(jobs, job{o.show, binaryContent, r.WritePicture})
	}
	return a.finishRead(result, o, jobs)
}

// flaggedName tells the step 15 from a patch of that name.
func flaggedName(r *scan.Reading) string {
	if r.IsStep() {
		return "step " + r.ID
	}
	return r.ID
}

// tables returns the files of readings.
func (r *readResult) tables(s *scan.Result, o *readOptions) ([]job, error) {
	strip := s.Tablet()
	if s.Chart.Kind == chart.Tablet {
		return []job{csvJob(o.out, strip)}, nil
	}
	table, match, err := chart.Match(s.Patches(), s.Chart)
	if err != nil {
		return nil, fault.InFile(err, r.Inputs[0])
	}
	if s.Chart.Kind == chart.Exposure {
		s.AddPaper(table)
	}
	r.take(table, match)
	out := o.tabletOut
	if out == "" {
		out = beside(o.out, ".tablet.csv")
	}
	return []job{
		csvJob(o.out, table),
		csvJob(r.named(&r.Tablet, out, strip), strip),
		csvJob(r.named(&r.Fixed, beside(o.out, ".fixed.csv"), match.Fixed), match.Fixed),
	}, nil
}

// beside returns the name of a file that goes with R.csv; "" where that is
// standard output.
func beside(out, ending string) string {
	if out == standardStream {
		return ""
	}
	if n := len(out) - len(".csv"); n > 0 && strings.EqualFold(out[n:], ".csv") {
		out = out[:n]
	}
	return out + ending
}

// csvJob writes a table; a nil table or no name is no job.
func csvJob(name string, t *measure.Table) job {
	if t == nil {
		return job{}
	}
	return job{name, textContent, func(w io.Writer) error { return measure.WriteCSV(w, scan.Tidy(t)) }}
}

// finishRead writes the files and prints the result.
func (a *app) finishRead(r *readResult, o *readOptions, jobs []job) error {
	inputs := append([]string{o.chart}, r.Inputs...)
	for _, name := range []string{o.scale, o.steps} {
		if _, err := os.Stat(name); name != "" && err == nil {
			inputs = append(inputs, name)
		}
	}
	if err := a.writeOutputs(inputs, jobs...); err != nil {
		return err
	}
	for _, n := range r.Notices {
		a.notice("%s", n)
	}
	if o.out == standardStream {
		return nil
	}
	return a.print(r, func(w io.Writer) error {
		_, err := fmt.Fprint(w, r.text())
		return err
	})
}
