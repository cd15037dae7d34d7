package profile

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// transicc runs rows of numbers through lcms2's transicc and returns the rows
// it answers. Relative colorimetric, no black point compensation, numbers as
// floats.
func transicc(t *testing.T, rows [][]float64, args ...string) [][]float64 {
	t.Helper()
	cmd := exec.Command(outside.Tool(t, "transicc", "liblcms2-utils"), append([]string{"-n", "-t1"}, args...)...)
	var in, errs bytes.Buffer
	for _, row := range rows {
		for _, v := range row {
			in.WriteString(strconv.FormatFloat(v, 'f', 9, 64) + "\n")
		}
	}
	cmd.Stdin, cmd.Stderr = &in, &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("transicc %v: %v\n%s", args, err, errs.Bytes())
	}
	var got [][]float64
	for line := range strings.Lines(string(out)) {
		var row []float64
		for _, f := range strings.Fields(line) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("transicc answers %q", line)
			}
			row = append(row, v)
		}
		if len(row) > 0 {
			got = append(got, row)
		}
	}
	if len(got) != len(rows) {
		t.Fatalf("transicc answers %d rows of %d\n%s%s", len(got), len(rows), out[:min(len(out), 500)], errs.Bytes())
	}
	return got
}

// saved writes a profile to a file of the test's own.
func saved(t *testing.T, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
