package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"actinic/negative/report"
	"actinic/process/calibration"

	"github.com/spf13/pflag"
)

// reportFlag is a flag that takes the name of a report: an HTML file. Standard
// output is refused, because it holds the figures already.
type reportFlag string

func (f *reportFlag) Set(name string) error {
	if ending := strings.ToLower(filepath.Ext(name)); ending != ".html" && ending != ".htm" {
		return errors.New("expected a name that ends in .html")
	}
	*f = reportFlag(name)
	return nil
}

func (f *reportFlag) String() string { return string(*f) }
func (f *reportFlag) Type() string   { return "FILE" }

// addReportFlag gives a command the flag --report.
func addReportFlag(flags *pflag.FlagSet, f *reportFlag) {
	flags.Var(f, "report", "write a report to read and to print into `FILE`, .html")
}

// reportJob is the output of a report into the file that the user named; without
// a name writeOutputs leaves it out. page is called when the report is written,
// and the commands' other files are not kept if it fails.
//
//	jobs = append(jobs, a.reportJob(o.report, func() (report.Page, error) { return checkPage(c) }))
func (a *app) reportJob(name reportFlag, page func() (report.Page, error)) job {
	return job{string(name), textContent, func(w io.Writer) error {
		p, err := page()
		if err != nil {
			return err
		}
		return report.WritePage(w, typeset(p))
	}}
}

// What terminals show for a plus-minus, and for the sign of a number.
var (
	plusMinus = regexp.MustCompile(`\+- ?(\d)`)
	minus     = regexp.MustCompile(`(^|[ (])-(\d)`)
)

// typesetAll returns texts with the signs of print for those of terminals.
func typesetAll(all []string) []string {
	out := make([]string, len(all))
	for i, text := range all {
		text = plusMinus.ReplaceAllString(text, "\u00b1 $1")
		out[i] = minus.ReplaceAllString(text, "$1\u2212$2")
	}
	return out
}

// typeset returns the page with the signs of print.
func typeset(p report.Page) report.Page {
	p.Lead, p.Next, p.Sections = typesetAll(p.Lead), typesetAll(p.Next), slices.Clone(p.Sections)
	for i := range p.Sections {
		s := &p.Sections[i]
		s.Text, s.Warnings = typesetAll(s.Text), typesetAll(s.Warnings)
		if s.Table == nil {
			continue
		}
		t := *s.Table
		t.Rows = nil
		for _, row := range s.Table.Rows {
			t.Rows = append(t.Rows, typesetAll(row))
		}
		s.Table = &t
	}
	return p
}

// reportFoot are the last lines of a report: the files that it comes from with
// their SHA-256, each once, when it was made and by which program.
func reportFoot(made time.Time, inputs []calibration.Input) []string {
	var out []string
	for _, in := range inputs {
		if line := fmt.Sprintf("Made from %s, SHA-256 %s", in.Name, in.SHA256); !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	return append(out, fmt.Sprintf("%s, actinic %s", made.Format("2 January 2006, 15:04 UTC"), version(debug.ReadBuildInfo())))
}
