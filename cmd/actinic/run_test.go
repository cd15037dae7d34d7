package main

import (
	"context"
	"errors"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"actinic/process/fault"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// brokenPipe fails every write, as a full disk or a closed pipe does.
type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestRunReportsWriteFailure(t *testing.T) {
	for _, args := range [][]string{{"process", "list"}, {"process", "list", "--json"}, {"--version"}} {
		a, _, errs := newTestApp(nil)
		a.out = brokenPipe{}
		if code := run(context.Background(), args, a.streams); code != exitFailed {
			t.Errorf("%q: exit code %d, want %d", args, code, exitFailed)
		}
		if !strings.Contains(errs.String(), "broken pipe") {
			t.Errorf("%q: standard error %q does not name the failure", args, errs)
		}
	}
}

// An error while the user interrupts is the interruption, whatever it says.
func TestRunInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	a, _, errs := newTestApp(nil)
	a.out = brokenPipe{}
	if code := run(ctx, []string{"process", "list"}, a.streams); code != exitInterrupted {
		t.Errorf("exit code %d, want %d", code, exitInterrupted)
	}
	if !strings.HasPrefix(errs.String(), "actinic: error: interrupted\n") {
		t.Errorf("standard error %q", errs)
	}
}

// A user who stops 'negative' finds no film, whole or half.
func TestRunInterruptedLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	calibration, film := filepath.Join(dir, "c.calibration.json"), filepath.Join(dir, "film.tif")
	a, _, errs := newTestApp(nil)
	if code := run(context.Background(), []string{"curve", "--ramp", "../../examples/first-cyanotype/ramp.csv", "-o", calibration}, a.streams); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	args := []string{"negative", "../../testdata/photos/cat.png", "--calibration", calibration, "-o", film}
	if code := run(ctx, args, a.streams); code != exitInterrupted {
		t.Errorf("exit code %d, want %d", code, exitInterrupted)
	}
	wantFolder(t, dir, "c.calibration.json")
}

// Every command has a description, and every command that works an example
// that begins with the program's name and holds flags it has.
func TestHelpIsComplete(t *testing.T) {
	a, _, _ := newTestApp(nil)
	visit(newRoot(a), func(cmd *cobra.Command) {
		if cmd.Short == "" || cmd.Long == "" || cmd.Example == "" {
			t.Errorf("%q lacks a short description, a long one or an example", cmd.CommandPath())
		}
		for _, line := range strings.Split(cmd.Example, "\n") {
			checkExample(t, cmd.Root(), line)
		}
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if f.Usage == "" {
				t.Errorf("%q: --%s has no description", cmd.CommandPath(), f.Name)
			}
		})
	})
}

// checkExample fails t when an example line is not a command that exists with
// flags that exist.
func checkExample(t *testing.T, root *cobra.Command, line string) {
	t.Helper()
	words := strings.Fields(line)
	if len(words) < 2 || words[0] != "actinic" {
		t.Errorf("example %q is not a command line of actinic", line)
		return
	}
	cmd, rest, err := root.Find(words[1:])
	if err != nil || cmd == root {
		t.Errorf("example %q names no command", line)
		return
	}
	for _, word := range rest {
		name, isFlag := strings.CutPrefix(word, "--")
		name, _, _ = strings.Cut(name, "=")
		if isFlag && cmd.Flag(name) == nil && root.PersistentFlags().Lookup(name) == nil {
			t.Errorf("example %q uses --%s, which does not exist", line, name)
		}
	}
}

func TestMade(t *testing.T) {
	good := map[string]string{
		"0":            "1970-01-01T00:00:00Z",
		"1767225600":   "2026-01-01T00:00:00Z", // date -u -d @1767225600
		"253402300799": "9999-12-31T23:59:59Z",
	}
	for text, want := range good {
		a, _, _ := newTestApp(map[string]string{"SOURCE_DATE_EPOCH": text})
		got, err := a.made()
		if err != nil || got.Format(time.RFC3339) != want {
			t.Errorf("SOURCE_DATE_EPOCH=%s: %v, %v, want %s", text, got, err, want)
		}
	}
	for _, text := range []string{"now", "-1", "1.5", " 1", "253402300800", "99999999999999999999"} {
		a, _, _ := newTestApp(map[string]string{"SOURCE_DATE_EPOCH": text})
		_, err := a.made()
		var user *fault.Error
		if !errors.As(err, &user) || user.Hint == "" || !strings.Contains(user.Where, "SOURCE_DATE_EPOCH") {
			t.Errorf("SOURCE_DATE_EPOCH=%q: error %v, want one that names it, with a hint", text, err)
		}
	}
	a, _, _ := newTestApp(nil)
	if now, err := a.made(); err != nil || now.Location() != time.UTC || now.Nanosecond() != 0 {
		t.Errorf("the clock gives %v, %v, want whole seconds in UTC", now, err)
	}
}

func TestNotice(t *testing.T) {
	a, out, errs := newTestApp(nil)
	a.notice("%s has no printer code values: the neutral ramp is taken\n", "r.csv")
	if want := "actinic: note: r.csv has no printer code values: the neutral ramp is taken \n"; errs.String() != want {
		t.Errorf("standard error %q, want %q", errs, want)
	}
	errs.Reset()
	for _, global := range []globalOptions{{quiet: true}, {json: true}} {
		a.global = global
		a.notice("x")
	}
	if errs.Len()+out.Len() > 0 {
		t.Errorf("a notice came through --quiet or --json: %q %q", errs, out)
	}
}

func TestVersion(t *testing.T) {
	tagged := &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}
	checkout := &debug.BuildInfo{Main: debug.Module{Version: "(devel)"},
		Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "abc123"}}}
	tests := []struct {
		info *debug.BuildInfo
		ok   bool
		want string
	}{{tagged, true, "v1.2.3"}, {checkout, true, "abc123"}, {&debug.BuildInfo{}, true, "unversioned"}, {nil, false, "unversioned"}}
	for _, test := range tests {
		if got := version(test.info, test.ok); got != test.want {
			t.Errorf("version(%+v) = %q, want %q", test.info, got, test.want)
		}
	}
}
