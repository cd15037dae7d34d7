package main

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// helpOf returns the help of every command by its path.
func helpOf(t *testing.T) map[string]string {
	t.Helper()
	a, _, _ := newTestApp(nil)
	all := map[string]string{}
	visit(newRoot(a), func(cmd *cobra.Command) {
		path := strings.Fields(cmd.CommandPath())[1:]
		a, stdout, stderr := newTestApp(nil)
		if code := run(context.Background(), append(path, "--help"), a.streams); code != exitDone {
			t.Fatalf("%s: exit code %d: %s", cmd.CommandPath(), code, stderr)
		}
		all[cmd.CommandPath()] = stdout.String()
	})
	return all
}

// Lists of flags fit a terminal, show defaults all in one way, and show every flag
// once.
func TestFlagsInHelp(t *testing.T) {
	flag := regexp.MustCompile(`(?m)^ {2,6}(?:-\w, )?(--[a-z-]+)`)
	for path, text := range helpOf(t) {
		_, flags, found := strings.Cut(text, "\nFlags:\n")
		if !found && path != "actinic" {
			t.Errorf("%s has no list of flags", path)
		}
		for line := range strings.Lines(flags) {
			if n := utf8.RuneCountInString(strings.TrimSpace(line)); n > terminalWidth {
				t.Errorf("%s: %d characters: %s", path, n, line)
			}
		}
		if strings.Contains(flags, `default "`) {
			t.Errorf("%s quotes a default:\n%s", path, flags)
		}
		seen := map[string]bool{}
		for _, m := range flag.FindAllStringSubmatch(flags, -1) {
			if seen[m[1]] {
				t.Errorf("%s lists %s twice", path, m[1])
			}
			seen[m[1]] = true
		}
		if path == "actinic curve" && (!seen["--ramp"] || !seen["--paper"] || !seen["--json"]) {
			t.Errorf("%s leaves out flags:\n%s", path, flags)
		}
	}
}

// What is noted of a setup stands apart from what a command works with.
func TestSetupStandsApart(t *testing.T) {
	for _, command := range []string{"actinic curve", "actinic opacity"} {
		main, setup, found := strings.Cut(helpOf(t)[command], "\n"+setupGroup+":\n")
		if !found || strings.Contains(main, "--paper TEXT") || !strings.Contains(setup, "--paper TEXT") || !strings.Contains(main, "--exposure TIME") {
			t.Errorf("%s: the setup does not stand under a heading of its own", command)
		}
	}
}
