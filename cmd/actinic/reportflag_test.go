package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/negative/report"
	"actinic/process/calibration"
	"actinic/testdata/outside"
)

// A report of real readings, in Chromium: it fits a narrow screen, says nothing on
// the console, asks for nothing but itself and is of moderate size.
func TestReportsInBrowser(t *testing.T) {
	outside.Tool(t, "chromium", "chromium")
	dir := t.TempDir()
	first := filepath.Join("..", "..", "examples", "first-cyanotype")
	colours := filepath.Join("..", "..", "examples", "ink-colour")
	for name, line := range map[string][]string{
		"curve": {"curve", "--ramp", filepath.Join(first, "ramp.csv"), "--tablet", filepath.Join(first, "tablet.csv"), "--process", "cyanotype_classic",
			"--exposure", "8m", "-o", filepath.Join(dir, "blue.calibration.json")},
		"tablet":  {"tablet", filepath.Join(first, "tablet.csv")},
		"opacity": {"opacity", filepath.Join(colours, "short.csv"), "--tablet", filepath.Join(colours, "short.tablet.csv"), "--process", "cyanotype_classic"},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(dir, name+".html")
			a, _, stderr := newTestApp(nil)
			if code := run(context.Background(), append(line, "--report", file), a.streams); code != exitDone {
				t.Fatalf("exit code %d: %s", code, stderr)
			}
			checkInBrowser(t, file)
		})
	}
}

func checkInBrowser(t *testing.T, file string) {
	t.Helper()
	if info, err := os.Stat(file); err != nil || info.Size() > report.MostPageBytes {
		t.Fatalf("%v, %v", info, err)
	}
	page := outside.OpenWebPage(t, file)
	page.Look(360, 800, true)
	var width int
	if page.Evaluate("document.documentElement.scrollWidth", &width); width != 360 {
		t.Errorf("at 360 pixels the page is %d wide", width)
	}
	if dir := os.Getenv("ACTINIC_PLOTS"); dir != "" {
		os.WriteFile(filepath.Join(dir, filepath.Base(file)+".png"), page.Screenshot(), 0o644)
	}
	if all := page.Complaints(); len(all) > 0 {
		t.Errorf("the browser complains: %s", strings.Join(all, "\n"))
	}
	if all := page.Requests(); len(all) != 1 {
		t.Errorf("the page asked for %q, want itself alone", all)
	}
}

func TestReportIsTypeset(t *testing.T) {
	p := typeset(report.Page{Lead: []string{"known to +- 0.2 L*, (+-3), by -12.6 (-3), blue-2"}, Sections: []report.Section{{
		Text: []string{"a +- b"}, Table: &report.Table{Rows: [][]string{{"-1.69 +- 0.02", "a-1", "-"}}}}}})
	if got, want := p.Lead[0], "known to ± 0.2 L*, (± 3), by −12.6 (−3), blue-2"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := p.Sections[0].Text[0], "a +- b"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := strings.Join(p.Sections[0].Table.Rows[0], "|"), "−1.69 ± 0.02|a-1|-"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Names stand as a shell takes them (POSIX.1-2024, 2.2.2 single-quotes).
func TestNamesAreTyped(t *testing.T) {
	for in, want := range map[string]string{
		"blue.calibration.json": "blue.calibration.json",
		"a/b-1_é.json":          "a/b-1_é.json",
		"two words.json":        "'two words.json'",
		"Ann's <1>.json":        `'Ann'\''s <1>.json'`,
		"a;b&c$(d)":             "'a;b&c$(d)'",
		"line\nbreak":           "'line\nbreak'",
	} {
		if got := typed(in); got != want {
			t.Errorf("%q gives %s, want %s", in, got, want)
		}
	}
}

// Of many samples a report shows some and counts the rest.
func TestReportOfManySamples(t *testing.T) {
	k := &calibration.Spectral{Readings: "inks.csv", Samples: make([]calibration.Predicted, mostSamplesShown+7)}
	s := spectralSection(k)
	if n := len(s.Table.Rows); n != mostSamplesShown || !strings.Contains(strings.Join(s.Text, " "), "There are 7 samples more") {
		t.Errorf("%d rows under %q", n, s.Text)
	}
}
