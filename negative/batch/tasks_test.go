package batch

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
)

// folder makes a folder with empty files.
func folder(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestPlan(t *testing.T) {
	dir := folder(t, "b.JPG", "a.png", "c.tiff", "notes.txt", ".hidden.png", "d e.jpeg")
	if err := os.Mkdir(filepath.Join(dir, "inner.png"), 0o777); err != nil {
		t.Fatal(err)
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	out := func(name string) string { return filepath.Join("films", name) }
	tests := []struct {
		name   string
		inputs []string
		out    string
		want   []Task
	}{
		{"a file", []string{in("a.png")}, "x.tif", []Task{{in("a.png"), "x.tif"}}},
		{"a file into a folder", []string{in("a.png")}, dir, []Task{{in("a.png"), in("a.tif")}}},
		{"a file into a folder to be made", []string{in("a.png")}, "films/", []Task{{in("a.png"), out("a.tif")}}},
		{"files", []string{in("d e.jpeg"), in("a.png")}, "films", []Task{{in("d e.jpeg"), out("d e.tif")}, {in("a.png"), out("a.tif")}}},
		{"a folder", []string{dir}, "films", []Task{{in("a.png"), out("a.tif")}, {in("b.JPG"), out("b.tif")}, {in("c.tiff"), out("c.tif")}, {in("d e.jpeg"), out("d e.tif")}}},
	}
	for _, test := range tests {
		got, err := Plan(test.inputs, test.out)
		if diff := cmp.Diff(test.want, got); diff != "" || err != nil {
			t.Errorf("%s: error %v (-want +got):\n%s", test.name, err, diff)
		}
	}
}

func TestPlanRefuses(t *testing.T) {
	twins := folder(t, "a.png", "A.jpg")
	tests := []struct {
		inputs []string
		out    string
		want   string
	}{
		{[]string{filepath.Join(twins, "a.png")}, "x.jpg", "ends in .tif or .png"},
		{[]string{filepath.Join(twins, "a.png")}, "x", "ends in .tif or .png"},
		{[]string{twins}, "films", "and so would that of"},
		{[]string{folder(t)}, "films", "holds no picture"},
	}
	for _, test := range tests {
		_, err := Plan(test.inputs, test.out)
		var user *fault.Error
		if !errors.As(err, &user) || user.Hint == "" || !strings.Contains(user.What, test.want) {
			t.Errorf("%v to %s: error %v, want one that says %q and hints", test.inputs, test.out, err, test.want)
		}
	}
	if _, err := Plan([]string{"no/such.png"}, "x.tif"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing picture gave %v", err)
	}
}
