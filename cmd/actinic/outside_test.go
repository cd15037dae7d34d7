package main

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// ending is a test that only takes down how it was ended.
type ending struct {
	testing.TB
	failed, skipped string
}

func (e *ending) Helper() {}

func (e *ending) Fatalf(format string, args ...any) {
	e.failed = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

func (e *ending) Skipf(format string, args ...any) {
	e.skipped = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

// endOf returns how a test ends that does what use does.
func endOf(use func(testing.TB)) *ending {
	e, done := &ending{}, make(chan struct{})
	go func() {
		defer close(done)
		use(e)
	}()
	<-done
	return e
}

// TestMissingToolsSkipOrFail: what is not installed skips a test, and fails it
// where ACTINIC_REQUIRE_TOOLS=1.
func TestMissingToolsSkipOrFail(t *testing.T) {
	const want = "/none/such"
	for name, use := range map[string]func(testing.TB){
		"Tool": func(tb testing.TB) { outside.Tool(tb, want, "nosuch-utils") },
		"File": func(tb testing.TB) { outside.File(tb, want, "nosuch-utils") },
		"Run":  func(tb testing.TB) { outside.Run(tb, want, "nosuch-utils", "-v") },
	} {
		told := func(text string) bool { return strings.Contains(text, want) && strings.Contains(text, "nosuch-utils") }
		t.Setenv("ACTINIC_REQUIRE_TOOLS", "")
		if e := endOf(use); !told(e.skipped) || e.failed != "" {
			t.Errorf("%s: skipped %q, failed %q; want it skipped", name, e.skipped, e.failed)
		}
		t.Setenv("ACTINIC_REQUIRE_TOOLS", "1")
		if e := endOf(use); !told(e.failed) || e.skipped != "" {
			t.Errorf("%s: skipped %q, failed %q; want it failed", name, e.skipped, e.failed)
		}
	}
}

// TestToolsAnswer: Run gives all that a program says, and fails with it.
func TestToolsAnswer(t *testing.T) {
	shell := outside.Tool(t, "sh", "dash")
	if got := string(outside.Run(t, shell, "dash", "-c", "echo warning >&2; echo answer")); got != "answer\nwarning\n" {
		t.Errorf("the program's answer is %q", got)
	}
	e := endOf(func(tb testing.TB) { outside.Run(tb, shell, "dash", "-c", "echo answer; echo broken >&2; exit 3") })
	for _, want := range []string{"exit status 3", "answer", "broken"} {
		if !strings.Contains(e.failed, want) {
			t.Errorf("a program that fails ends the test with %q, without %q", e.failed, want)
		}
	}
}
