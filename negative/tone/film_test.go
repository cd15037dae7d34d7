package tone

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"actinic/negative/profile"
	"actinic/negative/raster"
	"actinic/process/density"
	"actinic/process/fault"
)

var _ Luminance = (*profile.Luminance)(nil)

// noise gives each sample of a picture a fixed random value.
func noise(x, y, ch int) uint16 {
	return uint16(rand.New(rand.NewPCG(uint64(x*3+ch), uint64(y))).Uint32())
}

func made(t *testing.T, p *fakePicture, c Curve, o Options, jobs int) (*Film, [][]uint16) {
	t.Helper()
	f, err := Negative(p, srgbLight{p.header.Channels}, c, o, jobs)
	if err != nil {
		t.Fatal(err)
	}
	var s rowsKept
	if err := f.Run(t.Context(), &s); err != nil {
		t.Fatal(err)
	}
	if len(s.rows) != f.Header().Height || len(s.rows[0]) != f.Header().Width*f.Header().Channels {
		t.Fatalf("%d rows of %d samples, header %+v", len(s.rows), len(s.rows[0]), f.Header())
	}
	return f, s.rows
}

// Every pixel of an untouched grid is within 1 of 65535 of the formulas: sRGB
// (IEC 61966-2-1) to Y to L* (CIE 15:2018) to the curve to the printer, mirrored.
func TestFilmIsTheFormulas(t *testing.T) {
	options := map[string]Options{
		"plain": {}, "right reading": {NoMirror: true}, "positive": {Positive: true}, "inverted": {InputNegative: true},
	}
	tables := []*InkTable{film(t, greyCurve), film(t, olive), film(t, kinkyCurve)}
	for name, o := range options {
		for _, channels := range []int{1, 3} {
			for _, c := range tables {
				p := newPicture(raster.Header{Width: 37, Height: 150, Channels: channels, Bits: 16, Orientation: 1}, noise)
				_, rows := made(t, p, c, o, 2)
				for y, row := range rows {
					checkRow(t, name, row, p, y, c.Curve, o)
				}
			}
		}
	}
}

func checkRow(t *testing.T, name string, row []uint16, p *fakePicture, y int, c Curve, o Options) {
	t.Helper()
	n := len(row) / p.header.Width
	for x := range p.header.Width {
		from := x
		if !o.NoMirror {
			from = p.header.Width - 1 - x
		}
		at := (y*p.header.Width + from) * p.header.Channels
		src := append([]uint16(nil), p.pix[at:at+p.header.Channels]...)
		for i := range src {
			if o.InputNegative {
				src[i] = 65535 - src[i]
			}
		}
		tone := float64(density.Reflectance(srgbLight{p.header.Channels}.of(src)).Lightness())
		if o.Positive {
			tone = 100 - tone
		}
		want := c.Device(c.Ink(min(max(tone, 0), 100)))
		for ch := range n {
			if got := row[x*n+ch]; math.Abs(float64(got)-math.Round(want[ch]*65535)) > 1 {
				t.Fatalf("%s, %d,%d channel %d: %d, want %.2f", name, x, y, ch, got, want[ch]*65535)
			}
		}
	}
}

// A grey ramp of 65536 codes uses far more than 256 codes of film, and rises:
// no step of the way has 8 bits.
func TestFilmHasSixteenBits(t *testing.T) {
	p := newPicture(raster.Header{Width: 256, Height: 256, Channels: 1, Bits: 16, Orientation: 1},
		func(x, y, _ int) uint16 { return uint16(y*256 + x) })
	_, rows := made(t, p, fakeCurve{power: 1}, Options{NoMirror: true}, 1)
	seen, last := map[uint16]bool{}, uint16(65535)
	for _, row := range rows {
		for _, v := range row {
			if v > last {
				t.Fatalf("code rises from %d to %d in a negative of a rising ramp", last, v)
			}
			seen[v], last = true, v
		}
	}
	if len(seen) < 40000 {
		t.Errorf("%d codes, want tens of thousands", len(seen))
	}
}

// White and black of sRGB come out as full ink and clear film to the last code,
// resampled or not: paper white is not nearly white.
func TestFilmEndsSurviveTheWay(t *testing.T) {
	for _, widthMM := range []float64{0, 13, 77} {
		for v, want := range map[uint16]uint16{65535: 0, 0: 65535} {
			p := newPicture(raster.Header{Width: 40, Height: 30, Channels: 3, Bits: 8, Orientation: 1},
				func(int, int, int) uint16 { return v })
			f, err := Negative(p, profile.SRGB(3), greyCurve, Options{WidthMM: widthMM, PPI: 25.4, Depth: 8}, 1)
			if err != nil {
				t.Fatal(err)
			}
			var s rowsKept
			if err := f.Run(t.Context(), &s); err != nil {
				t.Fatal(err)
			}
			for _, row := range s.rows {
				for _, got := range row {
					if got != want {
						t.Fatalf("%g mm: %d became %d, want %d", widthMM, v, got, want)
					}
				}
			}
		}
	}
}

func TestFilmSameForAnyJobs(t *testing.T) {
	o := Options{WidthMM: 70, PPI: 25.4, Depth: 8, Edge: EdgeOpaque, EdgeMM: 4, Marks: true, CheckStrip: true, Label: "two cores"}
	var want [][]uint16
	for _, jobs := range []int{1, 2, 7} {
		p := newPicture(raster.Header{Width: 90, Height: 61, Channels: 3, Bits: 8, Orientation: 8}, noise)
		_, got := made(t, p, olive, o, jobs)
		if want == nil {
			want = got
		}
		for y := range got {
			for x := range got[y] {
				if got[y][x] != want[y][x] {
					t.Fatalf("jobs %d: sample %d,%d differs", jobs, x, y)
				}
			}
		}
	}
}

// Eight bits come from sixteen by diffusion: multiples of 257 whose mean over a
// flat is the sixteen-bit code.
func TestFilmOfEightBits(t *testing.T) {
	h := raster.Header{Width: 64, Height: 64, Channels: 1, Bits: 16, Orientation: 1}
	flat := func(int, int, int) uint16 { return 30123 }
	_, sixteen := made(t, newPicture(h, flat), greyCurve, Options{}, 2)
	f, eight := made(t, newPicture(h, flat), greyCurve, Options{Depth: 8}, 2)
	if f.Header().Bits != 8 || f.Header().Channels != 1 {
		t.Errorf("header %+v", f.Header())
	}
	sum := 0.0
	for _, row := range eight {
		for _, v := range row {
			if v%257 != 0 {
				t.Fatalf("%d is not a code of 8 bits", v)
			}
			sum += float64(v) / (64 * 64)
		}
	}
	if want := float64(sixteen[0][0]); math.Abs(sum-want) > 257*0.6/(64*64) {
		t.Errorf("mean %.3f, 16 bits give %g", sum, want)
	}
}

// The whole film is one thing mirrored: border, padding and picture together.
func TestFilmMirrorsTheWhole(t *testing.T) {
	o := Options{WidthMM: 60, HeightMM: 60, PPI: 25.4, Fit: FitPad, Edge: EdgeKeyline, EdgeMM: 3, Marks: true,
		CheckStrip: true, Label: "F", Part: &Part{5, 2, 50, 55}}
	table := film(t, greyCurve)
	for orientation := 1; orientation <= 8; orientation++ {
		h := raster.Header{Width: 40, Height: 25, Channels: 1, Bits: 16, Orientation: orientation}
		_, mirrored := made(t, newPicture(h, noise), table, o, 2)
		straight := o
		straight.NoMirror = true
		_, plain := made(t, newPicture(h, noise), table, straight, 2)
		for y := range plain {
			for x, v := range plain[y] {
				if got := mirrored[y][len(plain[y])-1-x]; got != v {
					t.Fatalf("orientation %d, %d,%d: %d, mirrored %d", orientation, x, y, v, got)
				}
			}
		}
	}
}

// Padding is clear film, or full ink with an opaque edge; the picture lies in
// the middle.
func TestFilmPads(t *testing.T) {
	for edge, want := range map[Edge]uint16{EdgeClear: 65535, EdgeOpaque: 0} {
		p := newPicture(raster.Header{Width: 20, Height: 10, Channels: 1, Bits: 16, Orientation: 1},
			func(int, int, int) uint16 { return 30000 })
		f, rows := made(t, p, greyCurve, Options{WidthMM: 20, HeightMM: 20, PPI: 25.4, Fit: FitPad, Edge: edge}, 1)
		if f.Header().Width != 20 || f.Header().Height != 20 {
			t.Fatalf("film %+v", f.Header())
		}
		for y, row := range rows {
			for _, v := range row {
				if inPicture := y >= 5 && y < 15; inPicture == (v == want) {
					t.Fatalf("edge %d, row %d: code %d", edge, y, v)
				}
			}
		}
	}
}

// A part that lies in the padding alone is all padding, and reads no picture.
func TestFilmPartInPadding(t *testing.T) {
	p := newPicture(raster.Header{Width: 20, Height: 10, Channels: 1, Bits: 16, Orientation: 6}, noise)
	_, rows := made(t, p, greyCurve, Options{WidthMM: 30, HeightMM: 10, PPI: 25.4, Fit: FitPad, Part: &Part{0, 0, 8, 10}}, 1)
	for _, row := range rows {
		for _, v := range row {
			if v != 65535 {
				t.Fatalf("code %d in the padding", v)
			}
		}
	}
}

// Read again after Restart, a film is the same, dither and all.
func TestFilmRestarts(t *testing.T) {
	for _, orientation := range []int{1, 6} {
		p := newPicture(raster.Header{Width: 30, Height: 80, Channels: 1, Bits: 8, Orientation: orientation}, noise)
		f, want := made(t, p, greyCurve, Options{Depth: 8}, 2)
		var again rowsKept
		if err := f.Restart(); err != nil {
			t.Fatal(err)
		}
		if err := f.Run(t.Context(), &again); err != nil {
			t.Fatal(err)
		}
		for y := range want {
			if !slices.Equal(want[y], again.rows[y]) {
				t.Fatalf("orientation %d: row %d differs", orientation, y)
			}
		}
	}
}

func TestFilmNotices(t *testing.T) {
	steep := nodesCurve{{0, 0}, {10, 80}, {100, 100}}
	tests := []struct {
		bits int
		c    Curve
		o    Options
		want string
	}{
		{8, steep, Options{}, "contours"}, {16, steep, Options{}, ""}, {8, greyCurve, Options{}, ""},
		{16, greyCurve, Options{CheckStrip: true, PPI: 360}, "too small"},
	}
	for _, test := range tests {
		p := newPicture(raster.Header{Width: 9, Height: 9, Channels: 1, Bits: test.bits, Orientation: 1}, noise)
		f, _ := made(t, p, test.c, test.o, 1)
		got := strings.Join(f.Notices(), "\n")
		if (test.want == "") != (got == "") || !strings.Contains(got, test.want) {
			t.Errorf("%d bits, %+v: notices %q, want %q", test.bits, test.o, got, test.want)
		}
	}
}

func TestFilmTruncatedPicture(t *testing.T) {
	for _, orientation := range []int{1, 3} {
		p := newPicture(raster.Header{Width: 9, Height: 90, Channels: 1, Bits: 8, Orientation: orientation}, noise)
		p.short = 20
		f, err := Negative(p, srgbLight{1}, greyCurve, Options{}, 1)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Run(t.Context(), &rowsKept{}); !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Errorf("orientation %d: %v, want unexpected EOF", orientation, err)
		}
	}
}

func TestFilmStopsWhenCancelled(t *testing.T) {
	p := newPicture(raster.Header{Width: 9, Height: 90, Channels: 1, Bits: 8, Orientation: 1}, noise)
	f, err := Negative(p, srgbLight{1}, greyCurve, Options{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := f.Run(ctx, &rowsKept{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want cancelled", err)
	}
}

// Pictures of inks have four channels, which their light knows of.
func TestNegativeTakesInks(t *testing.T) {
	p := newPicture(raster.Header{Width: 3, Height: 2, Channels: 4, Space: raster.Inks, Bits: 8, Orientation: 1},
		func(_, _, ch int) uint16 { return [4]uint16{0, 0, 0, 65535}[ch] })
	f, err := Negative(p, lastInk{}, greyCurve, Options{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	var s rowsKept
	if err := f.Run(t.Context(), &s); err != nil {
		t.Fatal(err)
	}
	if got := s.rows[1][2]; got != 65535 { // black of the picture: clear film
		t.Errorf("code %d", got)
	}
}

// lastInk takes the light that the last of four inks leaves.
type lastInk struct{}

func (lastInk) Row(dst []float32, src []uint16) {
	for i := range dst {
		dst[i] = 1 - float32(src[4*i+3])/65535
	}
}

func TestNegativeRefuses(t *testing.T) {
	good := raster.Header{Width: 4, Height: 4, Channels: 1, Bits: 8, Orientation: 1}
	cmyk := good
	cmyk.Channels = 4
	jump := badCurve{fakeCurve: greyCurve, ink: func(t float64) float64 { return math.Inf(1) }}
	for name, try := range map[string]struct {
		h raster.Header
		c Curve
		o Options
	}{
		"channels": {cmyk, greyCurve, Options{}}, "empty": {raster.Header{}, greyCurve, Options{}},
		"curve": {good, jump, Options{}}, "options": {good, greyCurve, Options{Depth: 4}},
		"part": {good, greyCurve, Options{Part: &Part{1, 1, 400, 4}}},
	} {
		_, err := Negative(&fakePicture{header: try.h}, srgbLight{1}, try.c, try.o, 1)
		var f *fault.Error
		if !errors.As(err, &f) || f.What == "" || f.Hint == "" {
			t.Errorf("%s: got %v, want an error with a hint", name, err)
		}
	}
}
