package batch

import (
	"context"
	"errors"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// straight is a neutral curve without calibration: film ink is picture tone.
type straight struct{}

func (straight) Ink(tone float64) float64 { return tone }
func (straight) Device(ink float64) [3]float64 {
	v := 1 - ink/100
	return [3]float64{v, v, v}
}
func (straight) Neutral() bool { return true }

// wedge writes a picture of 40 x 20 pixels, black at the left.
func wedge(t *testing.T, path string) {
	t.Helper()
	m := image.NewGray16(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			m.SetGray16(x, y, color.Gray16{Y: uint16(x * 1680)})
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, m); err != nil {
		t.Fatal(err)
	}
}

func rows(t *testing.T, path string) (raster.Header, [][]uint16) {
	t.Helper()
	src, err := raster.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	band := raster.NewBand(src.Header(), src.Header().Height)
	if _, err := src.ReadRows(context.Background(), band); err != nil {
		t.Fatal(err)
	}
	return src.Header(), band
}

// A black picture corner is clear film and lies at the right of a mirrored one.
func TestMake(t *testing.T) {
	dir := t.TempDir()
	in := filepath.Join(dir, "wedge.png")
	wedge(t, in)
	for _, out := range []string{"film.tif", "film.png"} {
		r := Recipe{Curve: straight{}, Tone: tone.Options{Depth: map[string]int{"film.tif": 16, "film.png": 8}[out]}, About: Description{Process: "Gum dichromate"}}
		film, err := r.Make(context.Background(), Task{In: in, Out: filepath.Join(dir, out)}, output.Options{})
		if err != nil {
			t.Fatal(err)
		}
		h, band := rows(t, filepath.Join(dir, out))
		if film.WidthPX != 40 || film.HeightPX != 20 || !film.Mirrored || h.Width != 40 || h.Bits != film.Depth || h.PPIX != tone.DefaultPPI {
			t.Errorf("%s: %+v, header %+v", out, film, h)
		}
		if left, right := band[0][0], band[0][39]; right != 65535 || left > 1500 {
			t.Errorf("%s: %d at the left and %d at the right, want nearly full ink and clear film", out, left, right)
		}
		about, known := ParseDescription(h.Description)
		if !known || about.Name != "wedge.png" || about.Process != "Gum dichromate" || about.NotMirrored {
			t.Errorf("%s says of itself %q", out, h.Description)
		}
	}
}

func TestMakeLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	in := filepath.Join(dir, "wedge.png")
	wedge(t, in)
	whole, err := os.ReadFile(in)
	if err != nil {
		t.Fatal(err)
	}
	cut := filepath.Join(dir, "cut.png")
	if err := os.WriteFile(cut, whole[:len(whole)/2], 0o666); err != nil {
		t.Fatal(err)
	}
	r := Recipe{Curve: straight{}}
	_, err = r.Make(context.Background(), Task{In: cut, Out: filepath.Join(dir, "film.tif")}, output.Options{})
	var user *fault.Error
	if !errors.As(err, &user) || user.File != cut {
		t.Errorf("half a picture gave %v", err)
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err := r.Make(stopped, Task{In: in, Out: filepath.Join(dir, "film.tif")}, output.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("a stopped run gave %v", err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("the folder holds %v, %v, want the two pictures", entries, err)
	}
}

func TestLuminanceOf(t *testing.T) {
	row := []uint16{0, 32768, 65535}
	dst := make([]float32, 3)
	// Middle grey as light: sRGB (IEC 61966-2-1) gives 0.2140, linear 0.5000, the
	// exponent 1.8 gives 0.5^1.8 = 0.2872.
	for _, test := range []struct {
		gamma float64
		want  float32
	}{{0, 0.2140}, {2.2, 0.2140}, {1, 0.5}, {1.8, 0.2872}} {
		l, err := LuminanceOf("x.png", raster.Header{Channels: 1, Gamma: test.gamma})
		if err != nil {
			t.Fatal(err)
		}
		l.Row(dst, row)
		if off := dst[1] - test.want; off > 1e-4 || off < -1e-4 || dst[0] != 0 || dst[2] != 1 {
			t.Errorf("gamma %g: %v, want 0, %g, 1", test.gamma, dst, test.want)
		}
	}
	_, err := LuminanceOf("x.png", raster.Header{Channels: 3, Profile: []byte("no profile")})
	var user *fault.Error
	if !errors.As(err, &user) || user.File != "x.png" || user.Hint == "" {
		t.Errorf("a broken profile: error %v, want one with file and hint", err)
	}
}
