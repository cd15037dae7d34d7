package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// mostForHostile is more than any of the hostile files, none of which is a
// picture, may make the program take: the deflate bombs hold 300 MiB each.
const mostForHostile = 128 << 20

// TestHostileFolder: of a folder with all that can be wrong with files, the sound
// pictures are made, each other one is named with a reason and a hint, and memory
// stays small. A second run has the sound ones already and fails alike.
func TestHostileFolder(t *testing.T) {
	w := newWorkroom(t)
	bad := hostileFiles(t)
	for name, content := range bad {
		w.write("in/"+name, content)
	}
	films := []string{"two\nlines.tif", "not \xff\xfe UTF-8.tif", "sub/sub/deep.tif", "-o.tif"}
	for i, name := range films {
		w.write("in/"+name, encoded(t, grainy(40, 30, uint64(i)), asTIFF))
	}
	for name, content := range bombs(t) {
		w.write("in/"+name, content)
		films = append(films, strings.TrimSuffix(name, filepath.Ext(name))+".tif")
	}
	w.write("in/notes.txt", []byte("no picture, and says so"))
	w.must(syscall.Mkfifo(w.path("in/pipe.tif"), 0o666))
	w.must(os.Symlink("..", w.path("in/sub/circle")))
	w.must(os.Symlink("in circles.png", w.path("in/in circles.png")))
	named := []string{"in/pipe.tif", "in/sub/circle", "in/in circles.png"}
	for name := range bad {
		named = append(named, "in/"+name)
	}
	for _, there := range []bool{false, true} {
		e, peak := w.measured("--json", "negative", "in", "--calibration", "c.json", "-o", "in/films")
		w.want(e, exitPartial)
		w.wantErrors(e.err, named)
		w.wantOnly("in/films", films...)
		if made, want := strings.Count(e.out, `"skipped":false`), len(films); !there && made != want {
			t.Errorf("%d films made, want %d", made, want)
		}
		if skipped := strings.Count(e.out, `"skipped":true`); there && skipped != len(films) {
			t.Errorf("%d films were there already, want %d", skipped, len(films))
		}
		if peak > mostForHostile {
			t.Errorf("it took %d MiB of memory", peak>>20)
		}
		t.Logf("%d MiB", peak>>20)
	}
}

// must ends the test with an error.
func (w *workroom) must(err error) {
	w.Helper()
	if err != nil {
		w.Fatal(err)
	}
}

// wantErrors fails the test when the error objects do not name these files, each
// once, with reason and hint.
func (w *workroom) wantErrors(said string, files []string) {
	w.Helper()
	var named []string
	for line := range strings.Lines(said) {
		var m message
		if err := json.Unmarshal([]byte(line), &m); err != nil {
			w.Errorf("%q: %v", line, err)
			continue
		}
		if m.Error == "" || m.Hint == "" || m.Code != exitPartial {
			w.Errorf("%q lacks reason or hint, or its code is not %d", line, exitPartial)
		}
		if len(m.Error) > 300 {
			w.Errorf("%q: a long story", line)
		}
		named = append(named, m.File)
	}
	slices.Sort(named)
	slices.Sort(files)
	for _, f := range files {
		if !slices.Contains(named, f) {
			w.Errorf("%s is not named", f)
		}
	}
	for _, f := range named {
		if !slices.Contains(files, f) {
			w.Errorf("%q is named, and nothing should be wrong with it", f)
		}
	}
}
