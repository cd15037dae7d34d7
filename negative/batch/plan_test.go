package batch

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/process/fault"

	"github.com/google/go-cmp/cmp"
)

// folder makes a folder with empty files; names that end in / are folders.
func folder(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o777); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if err := os.WriteFile(path, nil, 0o666); err != nil {
			t.Skipf("no such name here: %v", err)
		}
	}
	return dir
}

func link(t *testing.T, to, name string) {
	t.Helper()
	if err := os.Symlink(to, name); err != nil {
		t.Skipf("no links here: %v", err)
	}
}

func TestPlan(t *testing.T) {
	dir := folder(t, "b.JPG", "a.png", "c.tiff", "notes.txt", ".hidden.png", "d e.jpeg", "inner.png/")
	in := func(name string) string { return filepath.Join(dir, name) }
	task := func(name, film string) Task {
		return Task{In: in(name), Out: filepath.Join("films", film), Rel: name, Record: true}
	}
	tests := []struct {
		name   string
		inputs []string
		out    string
		o      PlanOptions
		want   []Task
	}{
		{"a file", []string{in("a.png")}, "x.tif", PlanOptions{}, []Task{{In: in("a.png"), Out: "x.tif", Rel: "a.png"}}},
		{"a file into a folder", []string{in("a.png")}, dir, PlanOptions{}, []Task{{In: in("a.png"), Out: in("a.tif"), Rel: "a.png", Record: true}}},
		{"a file into a folder to be made", []string{in("a.png")}, "films/", PlanOptions{}, []Task{task("a.png", "a.tif")}},
		{"files", []string{in("d e.jpeg"), in("a.png")}, "films", PlanOptions{}, []Task{task("d e.jpeg", "d e.tif"), task("a.png", "a.tif")}},
		{"a folder", []string{dir}, "films", PlanOptions{}, []Task{task("a.png", "a.tif"), task("b.JPG", "b.tif"), task("c.tiff", "c.tif"), task("d e.jpeg", "d e.tif")}},
		{"PNG", []string{in("c.tiff")}, "films/", PlanOptions{Format: PNG}, []Task{task("c.tiff", "c.png")}},
	}
	for _, test := range tests {
		got, err := Plan(test.inputs, test.out, test.o)
		if diff := cmp.Diff(test.want, got); diff != "" || err != nil {
			t.Errorf("%s: error %v (-want +got):\n%s", test.name, err, diff)
		}
	}
}

// films plans a folder and returns "REL > FILM", or "REL: why not", in order.
func films(t *testing.T, dir, out string) []string {
	t.Helper()
	tasks, err := Plan([]string{dir}, out, PlanOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, task := range tasks {
		if task.Refused != nil {
			var user *fault.Error
			if !errors.As(task.Refused, &user) || user.Hint == "" || user.File != task.In {
				t.Errorf("%s: refused with %v, want file and hint", task.In, task.Refused)
			}
			lines = append(lines, task.Rel+": "+user.What)
			continue
		}
		film, err := filepath.Rel(out, task.Out)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, task.Rel+" > "+filepath.ToSlash(film))
	}
	return lines
}

// The films keep the folders of their pictures; the order is that of the bytes
// of the paths.
func TestPlanGoesThroughFolders(t *testing.T) {
	dir := folder(t, "b.png", "a/z.tif", "a/b/c/deep.jpg", "a.tif", "a-b.tif", ".hidden/x.png", "a/.y.png", "a/notes.txt", "empty/")
	want := []string{"a-b.tif > a-b.tif", "a.tif > a.tif", "a/b/c/deep.jpg > a/b/c/deep.tif", "a/z.tif > a/z.tif", "b.png > b.tif"}
	if diff := cmp.Diff(want, films(t, dir, "films")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestPlanKeepsOddNames(t *testing.T) {
	odd := []string{"new\nline.png", "not\xff utf8.png", "not\xfe utf8.png", "sub\n/\xf0.tif", "two.dots.jpg"}
	dir := folder(t, odd...)
	got := films(t, dir, "films")
	for _, name := range odd {
		film := strings.TrimSuffix(name, filepath.Ext(name)) + ".tif"
		if !slices.Contains(got, name+" > "+film) {
			t.Errorf("%q is not among %q", name, got)
		}
	}
}

// What has the name of a picture but is none that is read is listed with what to
// do; other files are not.
func TestPlanListsWhatCannotBeRead(t *testing.T) {
	dir := folder(t, "a.png", "b.BMP", "c.nef", "d.heic", "e.txt", "f.xmp", "g", "Thumbs.db")
	link(t, "nowhere", filepath.Join(dir, "h.tif"))
	link(t, "nowhere", filepath.Join(dir, "i.txt"))
	want := []string{"a.png > a.tif", "b.BMP: file: BMP cannot be read", "c.nef: file: camera raw cannot be read",
		"d.heic: file: HEIC cannot be read", "h.tif: is a link that leads nowhere"}
	if diff := cmp.Diff(want, films(t, dir, "films")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	tasks, _ := Plan([]string{dir}, "films", PlanOptions{})
	var u *raster.UnsupportedError
	if !errors.As(tasks[2].Refused, &u) || !strings.Contains(u.Hint(), "raw converter") {
		t.Errorf("a camera raw: %v", tasks[2].Refused)
	}
}

func TestPlanFollowsLinks(t *testing.T) {
	dir := folder(t, "in/a.png", "in/sub/b.png", "elsewhere/c.png", "elsewhere/more/d.png")
	in := filepath.Join(dir, "in")
	link(t, filepath.Join(dir, "elsewhere"), filepath.Join(in, "linked"))
	link(t, filepath.Join(in, "a.png"), filepath.Join(in, "again.png"))
	link(t, filepath.Join(dir, "elsewhere"), filepath.Join(in, "twice"))
	link(t, "..", filepath.Join(in, "sub", "up"))
	link(t, dir, filepath.Join(in, "above"))
	link(t, "circle.png", filepath.Join(in, "circle.png"))
	link(t, in, filepath.Join(dir, "elsewhere", "more", "back"))
	want := []string{
		"a.png > a.tif", "above: leads back to a folder that it lies in", "again.png > again.tif",
		"circle.png: is a link that cannot be followed: too many levels of symbolic links",
		"linked/c.png > linked/c.tif", "linked/more/back: leads back to a folder that it lies in", "linked/more/d.png > linked/more/d.tif",
		"sub/b.png > sub/b.tif", "sub/up: leads back to a folder that it lies in", "twice: leads to a folder that another link leads to",
	}
	if diff := cmp.Diff(want, films(t, in, "films")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Folders whose links cross could be reached on 2^20 paths.
func TestPlanEndsWhereLinksCross(t *testing.T) {
	dir := folder(t, "0/", "0/a.png")
	for i := range 20 {
		next := filepath.Join(dir, fmt.Sprint(i+1))
		if err := os.Mkdir(next, 0o777); err != nil {
			t.Fatal(err)
		}
		link(t, filepath.Join(dir, fmt.Sprint(i)), filepath.Join(next, "x"))
		link(t, filepath.Join(dir, fmt.Sprint(i)), filepath.Join(next, "y"))
	}
	if got := films(t, filepath.Join(dir, "20"), "films"); len(got) != 21 {
		t.Errorf("%d tasks, want the picture once and 20 refused links: %q", len(got), got)
	}
}

// The folder of films is not taken for pictures, even inside that of the pictures,
// and films with a record are not where they lie among them.
func TestPlanLeavesFilmsAlone(t *testing.T) {
	dir := folder(t, "a.png", "films/a.tif", "films/sub/b.tif", "other/c.tif", "d.tif")
	if got := films(t, dir, filepath.Join(dir, "films")); !slices.Equal(got, []string{"a.png > a.tif", "d.tif > d.tif", "other/c.tif > other/c.tif"}) {
		t.Errorf("%q", got)
	}
	for _, film := range []string{"d.tif", "other/c.tif", "films/a.tif"} {
		if err := writeRecord(filepath.Join(dir, film), &record{Inputs: []content{{Name: "x"}}}); err != nil {
			t.Fatal(err)
		}
	}
	if got := films(t, dir, dir); !slices.Equal(got, []string{"a.png > a.tif", "films/sub/b.tif > films/sub/b.tif"}) {
		t.Errorf("%q", got)
	}
	// Another file in the place of a film is a picture again.
	if err := os.WriteFile(filepath.Join(dir, "d.tif"), []byte("a scan"), 0o666); err != nil {
		t.Fatal(err)
	}
	if got := films(t, dir, "films"); !slices.Contains(got, "d.tif > d.tif") {
		t.Errorf("%q", got)
	}
}

// A picture that is named twice gives one film, however it is named; two folders
// that hold pictures of one name do not.
func TestPlanTakesRepeatsOnce(t *testing.T) {
	dir := folder(t, "a.png", "sub/b.png", "c.nef")
	other := filepath.Join(t.TempDir(), "other")
	link(t, dir, other)
	for _, inputs := range [][]string{
		{dir, dir}, {dir, dir + "/"}, {dir, other}, {dir, filepath.Join(dir, "a.png")}, {filepath.Join(dir, "a.png"), dir},
		{dir, filepath.Join(dir, "sub", "..")},
	} {
		tasks, err := Plan(inputs, "films", PlanOptions{})
		if err != nil || len(tasks) != 3 {
			t.Errorf("%q: %d tasks, error %v", inputs, len(tasks), err)
		}
	}
	_, err := Plan([]string{dir, folder(t, "a.png")}, "films", PlanOptions{})
	if err == nil || !strings.Contains(err.Error(), "and so would that of") {
		t.Errorf("two pictures of one name: %v", err)
	}
}

func TestPlanRefuses(t *testing.T) {
	twins := folder(t, "a.png", "A.jpg")
	within := folder(t, "a.tif/b.png", "a.png")
	tests := []struct {
		inputs []string
		out    string
		want   string
	}{
		{[]string{filepath.Join(twins, "a.png")}, "x.jpg", "ends in .tif or .png"},
		{[]string{filepath.Join(twins, "a.png")}, "x", "ends in .tif or .png"},
		{[]string{folder(t, "a.png")}, "x.tif", "is the name of one film"},
		{[]string{filepath.Join(twins, "a.png"), filepath.Join(within, "a.png")}, "x.png", "is the name of one film"},
		{[]string{twins}, "films", "and so would that of"},
		{[]string{within}, "films", "needs a folder of that name"},
		{[]string{folder(t)}, "films", "holds no picture"},
		{[]string{folder(t, "sub/notes.txt")}, "films", "holds no picture"},
	}
	for _, test := range tests {
		_, err := Plan(test.inputs, test.out, PlanOptions{})
		var user *fault.Error
		if !errors.As(err, &user) || user.Hint == "" || !strings.Contains(user.What, test.want) {
			t.Errorf("%v to %s: error %v, want one that says %q and hints", test.inputs, test.out, err, test.want)
		}
	}
	if _, err := Plan([]string{"no/such.png"}, "x.tif", PlanOptions{}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a missing picture gave %v", err)
	}
}

// All pairs come at once, at most ten by name; a picture that is not read takes
// part in none.
func TestPlanListsAllCollisions(t *testing.T) {
	var names []string
	for i := range 12 {
		names = append(names, fmt.Sprintf("p%02d.jpg", i), fmt.Sprintf("p%02d.tif", i))
	}
	_, err := Plan([]string{folder(t, names...)}, "films", PlanOptions{})
	for _, want := range []string{"12 pairs", "p00.jpg and ", "p09.tif (" + filepath.Join("films", "p09.tif"), "and 2 more"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\ndoes not say %q", err, want)
		}
	}
	if strings.Contains(err.Error(), "p10") {
		t.Errorf("more than ten pairs: %v", err)
	}
	if _, err := Plan([]string{folder(t, "a.png", "a.nef", "a.bmp")}, "films", PlanOptions{}); err != nil {
		t.Errorf("pictures that are not read collide: %v", err)
	}
}
