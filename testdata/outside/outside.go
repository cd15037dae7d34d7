// Package outside finds what tests need from other people's programs, and runs
// them. Only tests import it. Where a program is missing the test is skipped
// with the reason; ACTINIC_REQUIRE_TOOLS=1 says that all are there, and then it
// fails instead, so that no check is left out by mistake.
//
// Start with [Run]; [Tool] and [File] are for what it does not cover.
package outside

import (
	"bytes"
	"os"
	"os/exec"
	"testing"
)

// Tool returns the path of a program, such as "qpdf". debianPackage is the
// package that has it, for the message.
func Tool(tb testing.TB, name, debianPackage string) string {
	tb.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(tb, name, debianPackage)
	}
	return path
}

// File returns the content of a file that a Debian package installs.
func File(tb testing.TB, path, debianPackage string) []byte {
	tb.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		missing(tb, path, debianPackage)
	}
	return data
}

// Run runs a program and returns its standard output, followed by what it wrote
// to its standard error: a warning is seen by whoever looks at the answer. It
// ends the test if the program is missing, as Tool does, or fails.
func Run(tb testing.TB, name, debianPackage string, args ...string) []byte {
	tb.Helper()
	cmd := exec.Command(Tool(tb, name, debianPackage), args...)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		tb.Fatalf("%s %q: %v\n%s%s", name, args, err, out, complaint.Bytes())
	}
	return append(out, complaint.Bytes()...)
}

// missing ends the test: skipped, or failed where all must be there.
func missing(tb testing.TB, what, debianPackage string) {
	tb.Helper()
	if os.Getenv("ACTINIC_REQUIRE_TOOLS") == "1" {
		tb.Fatalf("%s is needed and not installed (Debian package %s)", what, debianPackage)
	}
	tb.Skipf("%s is not installed (Debian package %s)", what, debianPackage)
}
