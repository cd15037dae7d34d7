package sheet

import (
	"os"
	"os/exec"
	"testing"
)

// run returns the standard output of an outside program. Without the program
// the test is skipped, or fails where ACTINIC_REQUIRE_TOOLS=1 says that the
// programs are there.
func run(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("ACTINIC_REQUIRE_TOOLS") == "1" {
			t.Fatalf("%s is needed and not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	out, err := exec.Command(path, args...).Output()
	if err != nil {
		text := ""
		if e, ok := err.(*exec.ExitError); ok {
			text = string(e.Stderr)
		}
		t.Fatalf("%s %v: %v\n%s%s", name, args, err, out, text)
	}
	return out
}
