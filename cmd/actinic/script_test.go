package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain lets the scripts below run this test binary as 'actinic'.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"actinic": main})
}

// TestScripts runs testdata/script: one promise of the command line a script,
// with what must not exist afterwards.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup:               setupScript,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exit":      scriptExit,
			"jsonkeys":  scriptJSONKeys,
			"onlyfiles": scriptOnlyFiles,
		},
	})
}

// setupScript gives a script the shipped test data as $TESTDATA, the example
// readings as $READINGS, a fixed date, and nothing of the user's own terminal settings.
func setupScript(env *testscript.Env) error {
	data, err := filepath.Abs("../../testdata")
	if err != nil {
		return err
	}
	examples, err := filepath.Abs("../../examples")
	if err != nil {
		return err
	}
	env.Setenv("TESTDATA", data)
	env.Setenv("READINGS", filepath.Join(examples, "first-cyanotype"))
	env.Setenv("SOURCE_DATE_EPOCH", "1767225600")
	env.Setenv("NO_COLOR", "")
	env.Setenv("TERM", "")
	return nil
}

// scriptExit is 'exit CODE COMMAND...': the command must end with exactly that
// exit code. What it prints is there for stdout and stderr to check.
func scriptExit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exit CODE COMMAND [ARGUMENTS]")
	}
	err := ts.Exec(args[1], args[2:]...)
	if got := fmt.Sprint(exitStatus(err)); got != args[0] {
		ts.Fatalf("%s ended with exit code %s, want %s", strings.Join(args[1:], " "), got, args[0])
	}
}

// exitStatus returns the exit code that the error of an ended command carries,
// or -1 when it never ran to an end.
func exitStatus(err error) int {
	if err == nil {
		return 0
	}
	if ended, ok := err.(interface{ ExitCode() int }); ok {
		return ended.ExitCode()
	}
	return -1
}

// scriptJSONKeys is 'jsonkeys stdout|stderr|FILE KEY...': each line is one JSON
// object with exactly these keys at its top, and there is at least one line.
func scriptJSONKeys(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: jsonkeys FILE KEY...")
	}
	lines := strings.Split(strings.TrimSuffix(ts.ReadFile(args[0]), "\n"), "\n")
	want := slices.Sorted(slices.Values(args[1:]))
	for _, line := range lines {
		var object map[string]any
		ts.Check(json.Unmarshal([]byte(line), &object))
		var got []string
		for key := range object {
			got = append(got, key)
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			ts.Fatalf("%s has the keys %q, want %q", args[0], got, want)
		}
	}
}

// scriptOnlyFiles is 'onlyfiles FOLDER [NAME...]': the folder holds these
// entries and nothing else, no forgotten temporary file either.
func scriptOnlyFiles(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: onlyfiles FOLDER [NAME...]")
	}
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	got := []string{}
	for _, e := range entries {
		if e.Name() != ".tmp" { // the scripts' own folder for temporary files
			got = append(got, e.Name())
		}
	}
	want := slices.Sorted(slices.Values(args[1:]))
	if !slices.Equal(got, want) {
		ts.Fatalf("%s holds %q, want %q", args[0], got, want)
	}
}
