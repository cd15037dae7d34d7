package batch

import (
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"actinic/negative/tone"

	"github.com/google/go-cmp/cmp"
)

// overtaken runs a folder of one picture, and other into the same folder in the
// middle of it.
func overtaken(t *testing.T, other *Recipe, o RunOptions) (dir string, w *watched) {
	t.Helper()
	dir = wedges(t, "a.png")
	m := meddler{armed: &atomic.Bool{}, once: &sync.Once{}}
	m.act = func() {
		if w := runFolder(t, dir, other, RunOptions{}); w.words() != "made" {
			t.Errorf("the other run: %v", w.outcomes)
		}
	}
	w = &watched{t: t, onBegun: func(Task) { m.armed.Store(true) }}
	return dir, runInto(t, t.Context(), dir, filepath.Join(filepath.Dir(dir), "films"), &Recipe{Curve: m}, o, w)
}

// Two runs of the same work at the same time, a job that was started twice, say:
// who comes second finds the film there.
func TestTwoRunsOfTheSameWork(t *testing.T) {
	dir, w := overtaken(t, &Recipe{Curve: straight{}}, RunOptions{})
	if w.words() != "skipped" {
		t.Errorf("%v", w.outcomes)
	}
	if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != "skipped" {
		t.Errorf("afterwards: %v", w.outcomes)
	}
}

// Of two runs with different options who comes second changes neither film nor
// record of the first, unless it was told to.
func TestTwoRunsOfOtherWork(t *testing.T) {
	positive := &Recipe{Curve: straight{}, Tone: tone.Options{Positive: true}}
	dir, w := overtaken(t, positive, RunOptions{})
	if w.words() != "failed" || !strings.Contains(w.outcomes[0].Err.Error(), "made with another curve or with other options") {
		t.Errorf("%v", w.outcomes)
	}
	if w := runFolder(t, dir, positive, RunOptions{}); w.words() != "skipped" {
		t.Errorf("afterwards: %v", w.outcomes)
	}
	dir, w = overtaken(t, positive, RunOptions{Force: true})
	if w.words() != "made" {
		t.Errorf("with force: %v", w.outcomes)
	}
	if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != "skipped" {
		t.Errorf("after force: %v", w.outcomes)
	}
}

// Whoever wins, each film and its record go together.
func TestManyRunsAtOnce(t *testing.T) {
	dir := wedges(t, "a.png", "b.png", "c.png")
	recipes := []*Recipe{{Curve: straight{}}, {Curve: straight{}, Tone: tone.Options{Positive: true}}, {Curve: straight{}, Tone: tone.Options{NoMirror: true}}}
	var wait sync.WaitGroup
	for _, force := range []bool{false, true} {
		for _, r := range recipes {
			wait.Go(func() { runFolder(t, dir, r, RunOptions{Jobs: 3, Force: force}) })
		}
	}
	wait.Wait()
	out := filepath.Join(filepath.Dir(dir), "films")
	want := ".actinic/a.tif.json .actinic/b.tif.json .actinic/c.tif.json a.tif b.tif c.tif"
	if diff := cmp.Diff(want, namesOf(tree(t, out))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for _, name := range []string{"a.tif", "b.tif", "c.tif"} {
		film := filepath.Join(out, name)
		r, err := readRecord(film)
		if sum := sumOfFile(film); err != nil || sum.content.SHA256 != r.Output.SHA256 {
			t.Errorf("the record of %s is another film's: %v", name, err)
		}
	}
}
