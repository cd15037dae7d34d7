package batch

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"actinic/negative/output"
	"actinic/negative/tone"
	"actinic/process/fault"
	"actinic/testdata/outside"

	"github.com/google/go-cmp/cmp"
)

// made runs a folder of one picture and returns the film's path.
func made(t *testing.T, name string) (dir, film string) {
	t.Helper()
	dir = wedges(t, name)
	if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != "made" {
		t.Fatalf("%v", w.outcomes)
	}
	return dir, filepath.Join(filepath.Dir(dir), "films", strings.TrimSuffix(name, ".png")+".tif")
}

// The sums in a record are those of the files (sha256sum of GNU coreutils).
func TestRecord(t *testing.T) {
	dir, film := made(t, "a.png")
	r, err := readRecord(film)
	if err != nil {
		t.Fatal(err)
	}
	sum := func(path string) content {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		line := outside.Run(t, "sha256sum", "coreutils", path)
		return content{Name: filepath.Base(path), Bytes: info.Size(), SHA256: string(line[:64])}
	}
	want := &record{Format: "actinic film", Version: 1, Key: (&Recipe{Curve: straight{}}).Key(), Inputs: []content{sum(filepath.Join(dir, "a.png"))}, Output: sum(film),
		Film: FilmForm{WidthPX: 40, HeightPX: 20, WidthMM: 40 * 25.4 / 360, HeightMM: 20 * 25.4 / 360, PPI: 360, Depth: 16, Channels: 1, Mirrored: true, Notices: []string{}}}
	if diff := cmp.Diff(want, r); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	text, err := os.ReadFile(recordPath(film))
	if err != nil || strings.Contains(string(text), dir) {
		t.Errorf("the record tells where files lie: %s, %v", text, err)
	}
}

// A second run skips, and says of the film what the first one said.
func TestRunSkipsWhatIsThere(t *testing.T) {
	dir, film := made(t, "sub/a.png")
	before := tree(t, filepath.Dir(filepath.Dir(film)))
	w := runFolder(t, dir, &Recipe{Curve: straight{}, Cores: 1, About: Description{Date: "2031-04-06", Calibration: "other.calibration.json"}}, RunOptions{})
	want := Film{Input: filepath.Join(dir, "sub", "a.png"), Output: film, Skipped: true, FilmForm: FilmForm{WidthPX: 40, HeightPX: 20, WidthMM: 40 * 25.4 / 360, HeightMM: 20 * 25.4 / 360,
		PPI: 360, Depth: 16, Channels: 1, Mirrored: true, Notices: []string{}}}
	if w.words() != "skipped" || !cmp.Equal(want, w.outcomes[0].Film) || w.outcomes[0].Pixels != 800 {
		t.Errorf("%s: %s", w.words(), cmp.Diff(want, w.outcomes[0].Film))
	}
	if diff := cmp.Diff(before, tree(t, filepath.Dir(filepath.Dir(film)))); diff != "" {
		t.Errorf("files changed:\n%s", diff)
	}
}

// Anything that is not the film of the same work is kept and named; with Force it
// is made anew, and then it is skipped.
func TestRunKeepsOtherFilms(t *testing.T) {
	other := &Recipe{Curve: straight{}, Tone: tone.Options{Positive: true}}
	edit := func(path string, change func(*record)) func(*testing.T) {
		return func(t *testing.T) {
			r, err := readRecord(path)
			if err != nil {
				t.Fatal(err)
			}
			change(r)
			if err := writeRecord(path, r); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, test := range map[string]struct {
		recipe  *Recipe
		meddle  func(t *testing.T, in, film string)
		because string
	}{
		"other options": {other, nil, "made with another curve or with other options"},
		"other picture": {nil, func(t *testing.T, in, _ string) { appendTo(t, in, "x") }, "as it was before it was changed"},
		"another name": {nil, func(t *testing.T, _, film string) {
			edit(film, func(r *record) { r.Inputs[0] = content{"c.png", 1, "00"} })(t)
		}, "made from another picture, c.png"},
		"no record":    {nil, func(t *testing.T, _, film string) { os.Remove(recordPath(film)) }, "no record says"},
		"broken":       {nil, func(t *testing.T, _, film string) { put(t, recordPath(film), "{") }, "its record cannot be used"},
		"newer":        {nil, func(t *testing.T, _, film string) { raise(t, recordPath(film)) }, "this program reads 1 to 1"},
		"no input":     {nil, func(t *testing.T, _, film string) { edit(film, func(r *record) { r.Inputs = nil })(t) }, "its record cannot be used"},
		"longer film":  {nil, func(t *testing.T, _, film string) { appendTo(t, film, "x") }, "is not what its record says"},
		"touched film": {nil, func(t *testing.T, _, film string) { flip(t, film) }, "is not what its record says"},
		// A run with --force that was killed between record and film.
		"forced": {other, func(t *testing.T, _, film string) {
			edit(film, func(r *record) { r.Key, r.Output.SHA256 = other.Key(), "00" })(t)
		}, "is not what its record says"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, film := made(t, "a.png")
			if test.meddle != nil {
				test.meddle(t, filepath.Join(dir, "a.png"), film)
			}
			before, _ := os.ReadFile(film)
			recipe := &Recipe{Curve: straight{}}
			if test.recipe != nil {
				recipe = test.recipe
			}
			w := runFolder(t, dir, recipe, RunOptions{})
			var user *fault.Error
			if w.words() != "failed" || !errors.As(w.outcomes[0].Err, &user) || !errors.Is(user, fs.ErrExist) || user.File != film ||
				!strings.HasPrefix(user.What, "exists already, ") || !strings.Contains(user.What, test.because) || !strings.Contains(user.Hint, "--force") {
				t.Errorf("%v", w.outcomes)
			}
			if after, _ := os.ReadFile(film); string(after) != string(before) {
				t.Error("the film was replaced")
			}
			if w := runFolder(t, dir, recipe, RunOptions{Force: true}); w.words() != "made" {
				t.Errorf("with force: %v", w.outcomes)
			}
			if w := runFolder(t, dir, recipe, RunOptions{}); w.words() != "skipped" {
				t.Errorf("after force: %v", w.outcomes)
			}
		})
	}
}

// writeRecord puts the record of a film in its place.
func writeRecord(film string, r *record) error {
	f, err := beginRecord(film, r)
	if err != nil {
		return err
	}
	return f.Commit()
}

func appendTo(t *testing.T, path, text string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	put(t, path, string(b)+text)
}

// flip changes a bit in the middle of a file.
func flip(t *testing.T, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	b[len(b)/2] ^= 1
	put(t, path, string(b))
}

// raise makes a record one of a later version.
func raise(t *testing.T, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	put(t, path, strings.Replace(string(b), `"version": 1`, `"version": 2`, 1))
}

// A run that is killed after the record and before the film's name leaves a
// record of nothing and a temporary file: the next run makes the film and clears
// up.
func TestRunGoesOnAfterAKill(t *testing.T) {
	dir, film := made(t, "a.png")
	want := tree(t, filepath.Dir(film))
	left := strings.TrimSuffix(film, "a.tif")
	if err := os.Remove(film); err != nil {
		t.Fatal(err)
	}
	leave(t, left)
	leave(t, filepath.Dir(recordPath(film)))
	if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != "made" {
		t.Errorf("%v", w.outcomes)
	}
	if diff := cmp.Diff(want, tree(t, left)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	// Where all is skipped too.
	leave(t, left)
	if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != "skipped" {
		t.Errorf("%v", w.outcomes)
	}
	if diff := cmp.Diff(want, tree(t, left)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// leave puts a temporary file into a folder that no program holds, as one that
// was killed leaves it.
func leave(t *testing.T, dir string) {
	t.Helper()
	f, err := output.Create(filepath.Join(dir, "killed"), output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	found, err := filepath.Glob(filepath.Join(dir, ".actinic-*.tmp"))
	if err != nil || len(found) != 1 {
		t.Fatalf("%v, %v", found, err)
	}
	f.Abort()
	if runtime.GOOS != "windows" { // where such files stay
		put(t, found[0], "half a film")
	}
}

// Long names have records too, and a film whose name leaves no room for the
// ending of one.
func TestRecordsOfLongNames(t *testing.T) {
	name := strings.Repeat("n", 250) + ".png" // 254 bytes; 255 are usual
	dir := wedges(t, name)
	for _, want := range []string{"made", "skipped"} {
		if w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{}); w.words() != want {
			t.Errorf("%v, want %s", w.outcomes, want)
		}
	}
	sum := sha256.Sum256([]byte(strings.TrimSuffix(name, ".png") + ".tif"))
	if _, err := os.Stat(filepath.Join(filepath.Dir(dir), "films", ".actinic", hex.EncodeToString(sum[:])+".json")); err != nil {
		t.Error(err)
	}
}

// A folder where the record should be is an error, and no film is placed.
func TestNoFilmWithoutItsRecord(t *testing.T) {
	dir := wedges(t, "a.png")
	out := filepath.Join(filepath.Dir(dir), "films")
	if err := os.MkdirAll(out, 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(out, ".actinic"), "a file")
	w := runFolder(t, dir, &Recipe{Curve: straight{}}, RunOptions{})
	var user *fault.Error
	if w.words() != "failed" || !errors.As(w.outcomes[0].Err, &user) || user.Hint == "" {
		t.Errorf("%v", w.outcomes)
	}
	if got := namesOf(tree(t, out)); got != ".actinic" {
		t.Errorf("left: %s", got)
	}
}

// Whatever a record's file holds, reading it ends in a record or an error.
func FuzzRecord(f *testing.F) {
	whole, _ := json.Marshal(record{Format: "actinic film", Version: 1, Inputs: []content{{"a.png", 1, "00"}}})
	f.Add(string(whole))
	f.Add("{}")
	f.Add(`{"format":"actinic film","version":1,"inputs":[{},{}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		film := filepath.Join(t.TempDir(), "a.tif")
		if err := os.Mkdir(filepath.Dir(recordPath(film)), 0o777); err != nil {
			t.Fatal(err)
		}
		put(t, recordPath(film), text)
		if r, err := readRecord(film); err == nil && len(r.Inputs) != 1 {
			t.Errorf("%q was taken for a record", text)
		}
	})
}
