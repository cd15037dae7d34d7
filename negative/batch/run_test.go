package batch

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// watched notes what a run tells. Its hooks may be nil.
type watched struct {
	pictures int
	pixels   int64
	outcomes []Outcome
	begun    []Task
	onBegun  func(Task)
	onDone   func(Task, Outcome)
	inside   atomic.Int32
	t        *testing.T
}

func (w *watched) enter() func() {
	if w.inside.Add(1) != 1 {
		w.t.Error("the watcher is told of two things at once")
	}
	return func() { w.inside.Add(-1) }
}

func (w *watched) Surveyed(pictures int, pixels int64) {
	defer w.enter()()
	w.pictures, w.pixels = pictures, pixels
}

func (w *watched) Begun(t Task, _ int64) {
	defer w.enter()()
	w.begun = append(w.begun, t)
	if w.onBegun != nil {
		w.onBegun(t)
	}
}

func (w *watched) Done(t Task, o Outcome) {
	defer w.enter()()
	w.outcomes = append(w.outcomes, o)
	if w.onDone != nil {
		w.onDone(t, o)
	}
}

// words says what became of the tasks, in their order.
func (w *watched) words() string {
	var words []string
	for _, o := range w.outcomes {
		switch {
		case o.Err != nil:
			words = append(words, "failed")
		case o.Skipped:
			words = append(words, "skipped")
		default:
			words = append(words, "made")
		}
	}
	return strings.Join(words, " ")
}

// wedges makes a folder of pictures, named in their order.
func wedges(t *testing.T, names ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "pictures")
	for _, name := range names {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		wedge(t, path)
	}
	return dir
}

// runFolder plans and runs a folder into "films" beside it.
func runFolder(t *testing.T, dir string, r *Recipe, o RunOptions) *watched {
	t.Helper()
	return runInto(t, context.Background(), dir, filepath.Join(filepath.Dir(dir), "films"), r, o, &watched{t: t})
}

func runInto(t *testing.T, ctx context.Context, dir, out string, r *Recipe, o RunOptions, w *watched) *watched {
	t.Helper()
	tasks, err := Plan([]string{dir}, out, PlanOptions{Format: r.Format})
	if err != nil {
		t.Fatal(err)
	}
	o.Watch = w
	r.Run(ctx, tasks, o)
	return w
}

// tree returns the files below a folder with their content, hidden ones too.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		all[filepath.ToSlash(rel)] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func namesOf(files map[string]string) string {
	var names []string
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// Outcomes come in the order of the tasks, a failure does not stop the rest, and
// the films are the same for any number of jobs and any memory.
func TestRun(t *testing.T) {
	dir := wedges(t, "a.png", "b.png", "sub/d.png", "sub/e.png")
	put(t, filepath.Join(dir, "c.png"), "no picture")
	put(t, filepath.Join(dir, "raw.nef"), "")
	var first map[string]string
	for _, o := range []RunOptions{{}, {Jobs: 1}, {Jobs: 3, Memory: 16 << 20}, {Jobs: 50}} {
		out := filepath.Join(t.TempDir(), "films")
		w := runInto(t, context.Background(), dir, out, &Recipe{Curve: straight{}}, o, &watched{t: t})
		if got := w.words(); got != "made made failed failed made made" {
			t.Errorf("%+v: %s", o, got)
		}
		if w.pictures != 6 || w.pixels != 4*40*20 || len(w.begun) != 4 {
			t.Errorf("%+v: surveyed %d pictures of %d pixels, %d begun", o, w.pictures, w.pixels, len(w.begun))
		}
		got := tree(t, out)
		if first == nil {
			first = got
		}
		if want := ".actinic/a.tif.json .actinic/b.tif.json a.tif b.tif sub/.actinic/d.tif.json sub/.actinic/e.tif.json sub/d.tif sub/e.tif"; namesOf(got) != want {
			t.Errorf("%+v: %s", o, namesOf(got))
		}
		for name := range got {
			if got[name] != first[name] {
				t.Errorf("%+v: %s differs", o, name)
			}
		}
	}
}

func TestRunOfNothing(t *testing.T) {
	w := &watched{t: t, pictures: -1}
	(&Recipe{Curve: straight{}}).Run(context.Background(), nil, RunOptions{Watch: w})
	if w.pictures != 0 || len(w.outcomes) != 0 {
		t.Errorf("%d pictures, outcomes %v", w.pictures, w.outcomes)
	}
}

func TestRunMakesPNG(t *testing.T) {
	dir := wedges(t, "a.png")
	out := filepath.Join(t.TempDir(), "films")
	w := runInto(t, context.Background(), dir, out, &Recipe{Curve: straight{}, Format: PNG}, RunOptions{}, &watched{t: t})
	h, _ := rows(t, filepath.Join(out, "a.png"))
	if w.words() != "made" || h.Format != "PNG" || h.Bits != 8 {
		t.Errorf("%s, %+v", w.words(), h)
	}
}

// A single film into a file of its own leaves nothing beside it.
func TestRunOfOneFileLeavesNoRecord(t *testing.T) {
	dir := wedges(t, "a.png")
	out := filepath.Join(t.TempDir(), "film.tif")
	w := runInto(t, context.Background(), filepath.Join(dir, "a.png"), out, &Recipe{Curve: straight{}}, RunOptions{}, &watched{t: t})
	if got := namesOf(tree(t, filepath.Dir(out))); w.words() != "made" || got != "film.tif" {
		t.Errorf("%s, %s", w.words(), got)
	}
}

// An interrupted run drops what is in hand, tells nothing of what was not begun,
// and leaves no part of a film; the next run goes on.
func TestRunIsInterrupted(t *testing.T) {
	dir := wedges(t, "a.png", "b.png", "c.png", "d.png", "e.png", "f.png")
	out := filepath.Join(t.TempDir(), "films")
	ctx, stop := context.WithCancel(context.Background())
	w := &watched{t: t, onDone: func(task Task, _ Outcome) {
		if task.Rel == "b.png" {
			stop()
		}
	}}
	r := &Recipe{Curve: straight{}}
	runInto(t, ctx, dir, out, r, RunOptions{Jobs: 2}, w)
	made := 0
	for _, o := range w.outcomes {
		if o.Err != nil && !errors.Is(o.Err, context.Canceled) {
			t.Errorf("an interrupted film failed with %v", o.Err)
		}
		if o.Err == nil {
			made++
		}
	}
	if len(w.outcomes) == 6 && made == 6 {
		t.Error("the run was not interrupted")
	}
	for name := range tree(t, out) {
		if strings.HasSuffix(name, ".tmp") {
			t.Errorf("%s is left", name)
		}
	}
	again := runInto(t, context.Background(), dir, out, r, RunOptions{}, &watched{t: t})
	if got := strings.Count(again.words(), "skipped"); len(again.outcomes) != 6 || strings.Contains(again.words(), "failed") || got < made {
		t.Errorf("%d were made, then %s", made, again.words())
	}
}

// meddler is a curve that does something to the picture while its film is made.
type meddler struct {
	straight
	armed *atomic.Bool
	act   func()
	once  *sync.Once
}

func (m meddler) Ink(tone float64) float64 {
	if m.armed.Load() {
		m.once.Do(m.act)
	}
	return tone
}

// A picture that changes under the reader gives no film, whatever was read of it.
func TestRunRefusesPicturesThatChange(t *testing.T) {
	later := time.Date(2031, 4, 5, 6, 7, 8, 0, time.UTC)
	for name, test := range map[string]struct {
		act  func(path string) error
		want string
	}{
		"touched":   {func(p string) error { return os.Chtimes(p, later, later) }, "was changed while it was read"},
		"truncated": {func(p string) error { return os.Truncate(p, 100) }, "was changed while it was read"},
		"removed":   {os.Remove, "was removed while it was read"},
		"replaced":  {func(p string) error { return os.Rename(filepath.Join(filepath.Dir(p), "b.png"), p) }, "was replaced while it was read"},
	} {
		for _, early := range []bool{false, true} {
			dir := wedges(t, "a.png", "b.png")
			in, out := filepath.Join(dir, "a.png"), filepath.Join(t.TempDir(), "films")
			m := meddler{armed: &atomic.Bool{}, once: &sync.Once{}}
			m.act = func() {
				if err := test.act(in); err != nil {
					t.Error(err)
				}
			}
			w := &watched{t: t, onBegun: func(Task) { m.armed.Store(true) }}
			want := test.want
			if early { // between the survey and the making
				w.onBegun, want = func(Task) { m.act() }, ""
			}
			r := &Recipe{Curve: m}
			r.Run(context.Background(), []Task{{In: in, Out: filepath.Join(out, "a.tif"), Rel: "a.png", Record: true}}, RunOptions{Watch: w})
			var user *fault.Error
			if len(w.outcomes) != 1 || !errors.As(w.outcomes[0].Err, &user) || user.File != in || user.Hint == "" || !strings.Contains(user.What, want) {
				t.Errorf("%s, early %v: %+v", name, early, w.outcomes)
			}
			if _, err := os.Stat(out); err == nil {
				if got := namesOf(tree(t, out)); got != "" {
					t.Errorf("%s, early %v: left %s", name, early, got)
				}
			}
		}
	}
}

// Make, without a record, looks too.
func TestMakeRefusesAPictureThatChanges(t *testing.T) {
	dir := wedges(t, "a.png")
	in, out := filepath.Join(dir, "a.png"), filepath.Join(t.TempDir(), "a.tif")
	m := meddler{armed: &atomic.Bool{}, once: &sync.Once{}}
	calls := 0
	m.act = func() { calls++ }
	m.armed.Store(true)
	r := &Recipe{Curve: m}
	if _, err := r.Make(context.Background(), Task{In: in, Out: out}, output.Options{}); err != nil || calls != 1 {
		t.Errorf("error %v, %d calls", err, calls)
	}
	if _, err := r.Make(context.Background(), Task{In: in, Out: in}, output.Options{Force: true, Inputs: []string{in}}); err == nil {
		t.Error("the picture was its own film")
	}
}

// No input of the run becomes an output, whichever task would write it.
func TestRunKeepsItsInputs(t *testing.T) {
	dir := wedges(t, "a.png", "b.png")
	a, b := filepath.Join(dir, "a.png"), filepath.Join(dir, "b.png")
	before := tree(t, dir)
	r := &Recipe{Curve: straight{}, Format: PNG}
	w := &watched{t: t}
	r.Run(context.Background(), []Task{{In: a, Out: b, Rel: "a.png", Record: true}, {In: b, Out: a, Rel: "b.png", Record: true}}, RunOptions{Force: true, Watch: w})
	if got := tree(t, dir); w.words() != "failed failed" || got["a.png"] != before["a.png"] || got["b.png"] != before["b.png"] {
		t.Errorf("%s: %s", w.words(), namesOf(got))
	}
}

// A picture that lies where its film would go is named as such, and not as a film
// that --force replaces.
func TestRunNamesAPictureInTheFilmsPlace(t *testing.T) {
	dir := wedges(t, "a.png")
	for _, force := range []bool{false, true} {
		w := runInto(t, context.Background(), dir, dir, &Recipe{Curve: straight{}, Format: PNG}, RunOptions{Force: force}, &watched{t: t})
		if w.words() != "failed" || !strings.Contains(w.outcomes[0].Err.Error(), "is an input of this job") {
			t.Errorf("force %v: %v", force, w.outcomes)
		}
	}
}

// What a picture that holds its rows takes is bounded by Memory: it fails with
// what it takes and how to allow it, before it is decoded.
func TestRunRefusesWhatDoesNotFit(t *testing.T) {
	dir := wedges(t, "a.png")
	w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{Memory: 1 << 20})
	var user *fault.Error
	if w.words() != "failed" || !errors.As(w.outcomes[0].Err, &user) || !strings.Contains(user.What, "more than the 1 MiB allowed") || !strings.Contains(user.Hint, "--memory 64MiB") {
		t.Errorf("%s: %v", w.words(), w.outcomes)
	}
}

// Films of a label differ by the date that it shows, records of the same day do
// not: nothing in a folder of films tells of the clock but Made.
func TestRecordsCarryTheTimeGiven(t *testing.T) {
	dir := wedges(t, "a.png")
	made := time.Date(2031, 4, 5, 6, 7, 8, 0, time.UTC)
	runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{Made: made})
	r, err := readRecord(filepath.Join(filepath.Dir(dir), "films", "a.tif"))
	if err != nil || !r.Made.Equal(made) {
		t.Errorf("%+v, %v", r, err)
	}
	r = nil
	out := filepath.Join(t.TempDir(), "films")
	runInto(t, context.Background(), dir, out, &Recipe{Curve: straight{}, About: Description{Date: "2031-04-05"}}, RunOptions{}, &watched{t: t})
	if r, err = readRecord(filepath.Join(out, "a.tif")); err != nil || r.Made.Format(time.RFC3339) != "2031-04-05T00:00:00Z" {
		t.Errorf("%+v, %v", r, err)
	}
}

// The film that a folder run makes is the one that Make makes.
func TestRunAndMakeAgree(t *testing.T) {
	dir := wedges(t, "a.png")
	r := &Recipe{Curve: straight{}, Tone: tone.Options{Depth: 8}, Label: true, About: Description{Process: "Gum dichromate"}, Compress: raster.NoCompression}
	runFolder(t, dir, r, RunOptions{})
	single := filepath.Join(t.TempDir(), "a.tif")
	if _, err := r.Make(context.Background(), Task{In: filepath.Join(dir, "a.png"), Out: single}, output.Options{}); err != nil {
		t.Fatal(err)
	}
	a, _ := os.ReadFile(single)
	b, err := os.ReadFile(filepath.Join(filepath.Dir(dir), "films", "a.tif"))
	if err != nil || !bytes.Equal(a, b) {
		t.Errorf("%d bytes and %d bytes, %v", len(a), len(b), err)
	}
}
