package main

import (
	"context"
	"path/filepath"
	"slices"
	"testing"

	"actinic/negative/batch"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/testdata/outside"

	"github.com/google/go-cmp/cmp"
)

func TestPrintSizeFlag(t *testing.T) {
	for _, c := range []struct {
		in                string
		widthMM, heightMM float64
		widthPX           int
		out               string // of String; "" for refused
	}{
		{"203x254mm", 203, 254, 0, "203x254mm"},
		{"8x10in", 203.2, 254, 0, "203.2x254mm"},
		{"203mm", 203, 0, 0, "203mm"},
		{"20,3 cm", 203, 0, 0, "203mm"},
		{" X10in ", 0, 254, 0, "x254mm"},
		{"3000px", 0, 0, 3000, "3000px"},
		{"16px", 0, 0, 16, "16px"},
		{"15px", 0, 0, 0, ""},
		{"131073px", 0, 0, 0, ""},
		{"12.5px", 0, 0, 0, ""},
		{"x300px", 0, 0, 0, ""},
		{"300x200px", 0, 0, 0, ""},
		{"203", 0, 0, 0, ""},
		{"4.9mm", 0, 0, 0, ""},
		{"x5081mm", 0, 0, 0, ""},
		{"mm", 0, 0, 0, ""},
		{"203xmm", 0, 0, 0, ""},
		{"-203mm", 0, 0, 0, ""},
		{"", 0, 0, 0, ""},
	} {
		var f printSizeFlag
		err := f.Set(c.in)
		if f.widthMM != c.widthMM || f.heightMM != c.heightMM || f.widthPX != c.widthPX || f.String() != c.out || (err != nil) != (c.out == "") || f.given() != (c.out != "") {
			t.Errorf("%q is %+v (%s), %v; want %g x %g mm, %d pixels (%s)", c.in, f, f.String(), err, c.widthMM, c.heightMM, c.widthPX, c.out)
		}
	}
}

// The last size counts, whatever the form of the one before.
func TestPrintSizeFlagTwice(t *testing.T) {
	for _, last := range []string{"203x254mm", "203mm", "x254mm", "3000px"} {
		for _, first := range []string{"100x100mm", "100mm", "x100mm", "100px"} {
			var f printSizeFlag
			if err := f.Set(first); err != nil {
				t.Fatal(err)
			}
			if err := f.Set(last); err != nil || f.String() != last {
				t.Errorf("%s after %s is %s, %v", last, first, f.String(), err)
			}
		}
	}
}

func TestPartFlag(t *testing.T) {
	one, two := tone.Part{XMM: 10, YMM: 20, WidthMM: 100, HeightMM: 150}, tone.Part{XMM: 0.5, YMM: 0, WidthMM: 3, HeightMM: 4.25}
	for _, c := range []struct {
		in   []string
		want partFlag
		out  string // of String; "" for refused
	}{
		{[]string{"10,20,100,150"}, partFlag{parts: []tone.Part{one}}, "10,20,100,150"},
		{[]string{"10, 20, 100, 150", "0.5,0,3,4.25"}, partFlag{parts: []tone.Part{one, two}}, "10,20,100,150 0.5,0,3,4.25"},
		{[]string{"2/5"}, partFlag{share: batch.Share{K: 2, N: 5}}, "2/5"},
		{[]string{"2/5", "10,20,100,150"}, partFlag{parts: []tone.Part{one}, share: batch.Share{K: 2, N: 5}}, "10,20,100,150 2/5"},
		{[]string{"best:60x40", "10,20,100,150"}, partFlag{parts: []tone.Part{one}, best: &bestSize{60, 40}}, "10,20,100,150 best:60x40"},
		{[]string{"best:60x40mm"}, partFlag{best: &bestSize{60, 40}}, "best:60x40"},
		{[]string{"2/5", "1/5"}, partFlag{}, ""},
		{[]string{"best:60x40", "best:50x40"}, partFlag{}, ""},
		{[]string{"0/5"}, partFlag{}, ""},
		{[]string{"6/5"}, partFlag{}, ""},
		{[]string{"1/2/3"}, partFlag{}, ""},
		{[]string{"best:60"}, partFlag{}, ""},
		{[]string{"best:0x40"}, partFlag{}, ""},
		{[]string{"1,2,3"}, partFlag{}, ""},
		{[]string{"1,2,3,4,5"}, partFlag{}, ""},
		{[]string{"1,2,0,4"}, partFlag{}, ""},
		{[]string{"-1,2,3,4"}, partFlag{}, ""},
		{[]string{"NaN,2,3,4"}, partFlag{}, ""},
		{[]string{"1,2,Inf,4"}, partFlag{}, ""},
		{[]string{""}, partFlag{}, ""},
	} {
		var f partFlag
		var err error
		for _, in := range c.in {
			if err == nil {
				err = f.Set(in)
			}
		}
		switch diff := cmp.Diff(c.want, f, cmp.AllowUnexported(partFlag{}, bestSize{})); {
		case c.out == "" && err == nil:
			t.Errorf("%q is taken as %s", c.in, f.String())
		case c.out != "" && (err != nil || f.String() != c.out || diff != ""):
			t.Errorf("%q is %s, %v, want %s\n%s", c.in, f.String(), err, c.out, diff)
		}
	}
}

// filmRows makes the negative of a picture and returns its rows.
func filmRows(t *testing.T, calibration, in string, flags ...string) [][]uint16 {
	t.Helper()
	out := filepath.Join(t.TempDir(), "film.tif")
	a, _, errs := newTestApp(nil)
	args := append([]string{"negative", in, "--calibration", calibration, "-o", out}, flags...)
	if code := run(context.Background(), args, a.streams); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	src, err := raster.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	band := raster.NewBand(src.Header(), src.Header().Height)
	for rest := band; len(rest) > 0; {
		n, err := src.ReadRows(t.Context(), rest)
		if err != nil {
			t.Fatal(err)
		}
		rest = rest[n:]
	}
	return band
}

// A picture whose values another program turned round (ImageMagick's -negate)
// gives with --input-negative the very film of the picture itself: of 8 and 16
// bits, grey and colour, and before the profile, whose encoding would not
// survive it the other way round.
func TestInputNegative(t *testing.T) {
	dir := t.TempDir()
	calibration := filepath.Join(dir, "c.calibration.json")
	a, _, errs := newTestApp(nil)
	if code := run(context.Background(), []string{"curve", "--ramp", "../../examples/first-cyanotype/ramp.csv", "-o", calibration}, a.streams); code != exitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	const cat, stones, profiles = "../../testdata/photos/cat.png", "../../testdata/photos/amphitheatre-16bit.tif", "/usr/share/color/icc/ghostscript/"
	outside.File(t, profiles+"rommrgb.icc", "libgs-common") // gamma 1.8, wide primaries
	for name, c := range map[string]struct {
		from, ending string
		how          []string
	}{
		"8-bit colour PNG":              {cat, ".png", []string{"-depth", "8", "-type", "TrueColor"}},
		"16-bit colour TIFF":            {cat, ".tif", []string{"-depth", "16", "-evaluate", "multiply", "0.937", "-type", "TrueColor"}},
		"16-bit colour TIFF, a profile": {cat, ".tif", []string{"-strip", "-depth", "16", "-evaluate", "multiply", "0.937", "-type", "TrueColor", "-profile", profiles + "rommrgb.icc"}},
		"16-bit grey TIFF":              {stones, ".tif", nil},
		"8-bit grey PNG":                {stones, ".png", []string{"-depth", "8"}},
	} {
		t.Run(name, func(t *testing.T) {
			picture, negated := filepath.Join(t.TempDir(), "picture"+c.ending), filepath.Join(t.TempDir(), "negated"+c.ending)
			outside.Run(t, "convert", "imagemagick", append(append([]string{c.from}, c.how...), picture)...)
			outside.Run(t, "convert", "imagemagick", picture, "-negate", negated)
			want, got := filmRows(t, calibration, picture), filmRows(t, calibration, negated, "--input-negative")
			if !slices.EqualFunc(want, got, slices.Equal) {
				t.Errorf("the films differ: first row %v, want %v", got[0][:8], want[0][:8])
			}
			if slices.EqualFunc(want, filmRows(t, calibration, negated), slices.Equal) {
				t.Error("the film is the same without --input-negative")
			}
		})
	}
}

// What --size and --part take, they write in a form that means the same.
func FuzzFilmFlags(f *testing.F) {
	for _, seed := range []string{"203x254mm", "8x10in", "203mm", "x254mm", "3000px", "20,3cm", "10,20,100,150", "0.5,0,3,4.25", "2/5", "best:60x40"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var size, again printSizeFlag
		if size.Set(text) == nil {
			if err := again.Set(size.String()); err != nil || again != size {
				t.Errorf("%q is %s, and that is %+v, %v, want %+v", text, size.String(), again, err, size)
			}
		}
		var part, same partFlag
		if part.Set(text) == nil {
			if err := same.Set(part.String()); err != nil || !cmp.Equal(part, same, cmp.AllowUnexported(partFlag{}, bestSize{})) {
				t.Errorf("%q is %s, and that is %+v, %v, want %+v", text, part.String(), same, err, part)
			}
		}
	})
}
