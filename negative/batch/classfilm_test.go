package batch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// A film that is made for a sheet as its rows are read is the film that Make
// writes, row by row, of pictures of every kind; Plan told its size.
func TestSourceIsTheFilm(t *testing.T) {
	for _, name := range []string{"cat.png", "amphitheatre-16bit.tif", "dandelions.jpg"} {
		in := filepath.Join("..", "..", "testdata", "photos", name)
		r := &Recipe{Curve: straight{}, Tone: tone.Options{WidthMM: 40, HeightMM: 40, PPI: 200, Depth: 16}}
		planned, _, err := r.Plan(in)
		if err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(t.TempDir(), "film.tif")
		if _, err := r.Make(context.Background(), Task{In: in, Out: out}, output.Options{}); err != nil {
			t.Fatal(err)
		}
		h, want := rows(t, out)
		src, err := r.Source(in)
		if err != nil {
			t.Fatal(err)
		}
		got := raster.NewBand(src.Header(), src.Header().Height)
		if n, err := src.ReadRows(context.Background(), got); n != len(got) || err != nil {
			t.Fatalf("%d rows, %v", n, err)
		}
		if err := src.Close(); err != nil {
			t.Error(err)
		}
		if !slices.EqualFunc(got, want, slices.Equal) {
			t.Errorf("%s: the rows differ", name)
		}
		if planned.Width != h.Width || planned.Height != h.Height || planned.PPIX != h.PPIX {
			t.Errorf("%s: planned %d x %d at %g, made %d x %d at %g", name, planned.Width, planned.Height, planned.PPIX, h.Width, h.Height, h.PPIX)
		}
	}
}

func TestSourceOfAChangedPicture(t *testing.T) {
	in := filepath.Join(t.TempDir(), "wedge.png")
	wedge(t, in)
	r := &Recipe{Curve: straight{}}
	src, err := r.Source(in)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(in, time.Unix(1, 0), time.Unix(1, 0)); err != nil {
		t.Fatal(err)
	}
	var user *fault.Error
	if err := src.Close(); !errors.As(err, &user) || user.File != in {
		t.Errorf("closing it says %v, want that the picture was changed", err)
	}
}

func TestNoSource(t *testing.T) {
	text := filepath.Join(t.TempDir(), "text.png")
	if err := os.WriteFile(text, []byte("no picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, in := range []string{text, filepath.Join(t.TempDir(), "none.png")} {
		var user *fault.Error
		r := &Recipe{Curve: straight{}}
		if _, err := r.Source(in); !errors.As(err, &user) {
			t.Errorf("Source of %s: %v", in, err)
		}
		if _, _, err := r.Plan(in); !errors.As(err, &user) {
			t.Errorf("Plan of %s: %v", in, err)
		}
	}
}
