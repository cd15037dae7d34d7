package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
)

// newTestApp returns an app on in-memory streams, and what it writes.
func newTestApp(env map[string]string) (a *app, out, errs *bytes.Buffer) {
	out, errs = new(bytes.Buffer), new(bytes.Buffer)
	return &app{streams: &streams{
		in: strings.NewReader(""), out: out, err: errs,
		env: func(name string) string { return env[name] },
	}}, out, errs
}

// The codes are those of the command contract in the root help.
func TestExitCode(t *testing.T) {
	tests := []struct {
		err  error
		want int
	}{
		{nil, 0},
		{errors.New("disk full"), 1},
		{fault.New("a.csv", "line 2", "x", "y"), 1},
		{&usageError{what: "x"}, 2},
		{fmt.Errorf("while parsing: %w", &usageError{what: "x"}), 2},
		{&partialError{failures: []error{errors.New("x")}}, 3},
		{&toleranceError{file: "r.csv", what: "x"}, 4},
		{context.Canceled, 130},
		{fmt.Errorf("%w (%w)", context.Canceled, fault.New("", "", "x", "")), 130},
	}
	for _, test := range tests {
		if got := exitCode(test.err); got != test.want {
			t.Errorf("exitCode(%v) = %d, want %d", test.err, got, test.want)
		}
		if !strings.Contains(exitHelp, fmt.Sprintf("\n  %-3d  ", test.want)) {
			t.Errorf("the root help does not explain exit code %d", test.want)
		}
	}
}

func TestReportError(t *testing.T) {
	_, missing := os.Open("no/such.csv")
	tests := []struct {
		name string
		err  error
		want string
	}{
		{"all parts", fault.New("a.csv", "line 2, column ink", "found \"x\", expected a number", "write 0 to 100"),
			"actinic: error: a.csv: line 2, column ink: found \"x\", expected a number\nactinic: hint: write 0 to 100\n"},
		{"no hint", errors.New("disk full"), "actinic: error: disk full\n"},
		{"wrapped", fmt.Errorf("reading: %w", fault.New("a.csv", "", "empty", "")), "actinic: error: a.csv: empty\n"},
		{"missing file", missing,
			"actinic: error: no/such.csv: no such file\nactinic: hint: check the name, and the folder you are in\n"},
		{"not allowed", &fs.PathError{Op: "open", Path: "p.tif", Err: fs.ErrPermission},
			"actinic: error: p.tif: not allowed to open it\nactinic: hint: check who owns the file and its folder\n"},
		{"terminal steering", fault.New("a\x1b[2J\n.csv", "", "empty", ""), "actinic: error: a [2J .csv: empty\n"},
		{"several inputs", &partialError{failures: []error{fault.New("a.tif", "", "no rows", ""), fault.New("b.tif", "", "no rows", "")}},
			"actinic: error: a.tif: no rows\nactinic: error: b.tif: no rows\n"},
		{"out of tolerance", &toleranceError{file: "r.csv", what: "2.1 L* off", hint: "expose longer"},
			"actinic: error: r.csv: 2.1 L* off\nactinic: hint: expose longer\n"},
		{"interrupted", context.Canceled,
			"actinic: error: interrupted\nactinic: hint: no file was left half written; run the command again\n"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			a, out, errs := newTestApp(nil)
			a.reportError(test.err)
			if diff := cmp.Diff(test.want, errs.String()); diff != "" {
				t.Errorf("standard error (-want +got):\n%s", diff)
			}
			if out.Len() > 0 {
				t.Errorf("an error wrote %q to standard output", out)
			}
		})
	}
}

func TestReportErrorJSON(t *testing.T) {
	a, _, errs := newTestApp(nil)
	a.global.json = true
	a.reportError(&partialError{failures: []error{
		fault.New("a<b>.tif", "strip 3", "cut short", "scan it again"),
		errors.New("disk full"),
	}})
	want := `{"error":"cut short","file":"a<b>.tif","where":"strip 3","hint":"scan it again","code":3}
{"error":"disk full","file":"","where":"","hint":"","code":3}
`
	if diff := cmp.Diff(want, errs.String()); diff != "" {
		t.Errorf("standard error (-want +got):\n%s", diff)
	}
}

// Source: https://no-color.org: any value of NO_COLOR that is not empty.
func TestColour(t *testing.T) {
	tests := []struct {
		name     string
		terminal bool
		env      map[string]string
		want     bool
	}{
		{"terminal", true, map[string]string{"TERM": "xterm"}, true},
		{"NO_COLOR", true, map[string]string{"TERM": "xterm", "NO_COLOR": "1"}, false},
		{"NO_COLOR set to 0", true, map[string]string{"TERM": "xterm", "NO_COLOR": "0"}, false},
		{"dumb terminal", true, map[string]string{"TERM": "dumb"}, false},
		{"nameless terminal", true, nil, false},
		{"file", false, map[string]string{"TERM": "xterm"}, false},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			a, _, errs := newTestApp(test.env)
			a.errTerminal = test.terminal
			a.reportError(errors.New("disk full"))
			if got := strings.Contains(errs.String(), "\x1b["); got != test.want {
				t.Errorf("coloured: %v, want %v: %q", got, test.want, errs)
			}
		})
	}
}
