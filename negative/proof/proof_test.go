package proof

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/density"
	"actinic/process/fault"
)

// fakeCurve stands in for a calibration: full ink prints paper, clear film
// black, and the curve inverts the print so that it is straight in L*.
type fakeCurve struct{ colour [3]float64 }

const (
	paperL = 94.0
	blackL = 22.0
)

func (fakeCurve) PrintLightness(ink float64) density.Lightness {
	return density.Lightness(blackL + (paperL-blackL)*math.Pow(ink/100, 1.7))
}

func (fakeCurve) Ink(t float64) float64 { return 100 * math.Pow(min(max(t, 0), 100)/100, 1/1.7) }

func (c fakeCurve) Device(ink float64) (v [3]float64) {
	for i := range v {
		v[i] = 1 - ink/100*(1-c.colour[i])
	}
	return v
}

func (c fakeCurve) Neutral() bool { return c.colour[0] == c.colour[1] && c.colour[1] == c.colour[2] }

func aim(t float64) float64 { return blackL + (paperL-blackL)*t/100 }

var (
	black = fakeCurve{}
	olive = fakeCurve{[3]float64{0.3, 0.4, 0}}
	blue  = Estimate("an invented blue process", 1, -32, paperL, blackL)
	grey  = Hue{Paper: Lab{L: paperL}, Black: Lab{L: blackL}}
)

// picture holds rows in memory.
type picture struct {
	header raster.Header
	rows   [][]uint16
	row    int
}

func (p *picture) Header() raster.Header { return p.header }

func (p *picture) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := 0
	for n < len(dst) && p.row < len(p.rows) {
		copy(dst[n], p.rows[p.row])
		n, p.row = n+1, p.row+1
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// WriteRows lets a picture be a sink too.
func (p *picture) WriteRows(_ context.Context, rows [][]uint16) error {
	for _, r := range rows {
		p.rows = append(p.rows, append([]uint16(nil), r...))
	}
	return nil
}

// lightness reads picture values as L* of 65535: its luminance, directly.
type lightness struct{}

func (lightness) Row(dst []float32, src []uint16) {
	for i := range dst {
		dst[i] = float32(density.Lightness(float64(src[i]) * 100 / 65535).Reflectance())
	}
}

// wedge is a picture of flat columns, one for each tone, wide enough for the
// diffusion to settle.
func wedge(tones []float64, wide, high int) *picture {
	p := &picture{header: raster.Header{Width: wide * len(tones), Height: high, Channels: 1, Bits: 16, Orientation: 1}}
	row := make([]uint16, wide*len(tones))
	for i, t := range tones {
		for x := range wide {
			row[i*wide+x] = uint16(math.Round(t * 655.35))
		}
	}
	for range high {
		p.rows = append(p.rows, row)
	}
	return p
}

func run(t *testing.T, f *tone.Film, err error) *picture {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	out := &picture{header: f.Header()}
	if err := f.Run(t.Context(), out); err != nil {
		t.Fatal(err)
	}
	return out
}

func proofOf(t *testing.T, p *Proof, err error) *picture {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return run(t, p.Film, nil)
}

// meanLab is the colour of a column of a proof.
func meanLab(p *picture, from, to int) Lab {
	var sum [3]float64
	for _, row := range p.rows {
		for x := from; x < to; x++ {
			for ch := range sum {
				sum[ch] += float64(row[3*x+ch]) / 65535
			}
		}
	}
	for ch := range sum {
		sum[ch] /= float64((to - from) * len(p.rows))
	}
	return back(sum)
}

func (p *picture) Restart() error { p.row = 0; return nil }
func (p *picture) Close() error   { return nil }
func (p *picture) Commit() error  { return nil }
func (p *picture) Abort()         {}

var tones = []float64{0, 5, 12, 25, 50, 75, 90, 100}

// The proof of each tone has the aim's lightness, and the hue's colour, to the
// 0.5 L* asked of the round trip (0.2 here: 8 bits and diffusion alone).
func TestProofOfPictureHasTheAim(t *testing.T) {
	const wide = 32
	p, err := FromPicture(wedge(tones, wide, 48), lightness{}, olive, tone.Options{}, Options{Hue: blue})
	got := proofOf(t, p, err)
	if got.header.Bits != 8 || got.header.Channels != 3 {
		t.Errorf("header %+v", got.header)
	}
	for i, v := range tones {
		c := meanLab(got, i*wide+4, (i+1)*wide-4)
		want := blue.At(density.Lightness(aim(v)))
		if math.Abs(float64(c.L)-aim(v)) > 0.2 || math.Abs(c.A-want.A) > 0.8 || math.Abs(c.B-want.B) > 0.8 {
			t.Errorf("tone %g: %.2f, want %.2f", v, c, want)
		}
	}
}

// A film made by the same curve proofs to the same print, whether it is grey or
// colour, 16 or 8 bits; it comes out unmirrored.
func TestProofOfFilmHasTheAim(t *testing.T) {
	const wide = 32
	for _, c := range []fakeCurve{black, olive} {
		for _, depth := range []int{16, 8} {
			f, err := tone.Negative(wedge(tones, wide, 48), lightness{}, c, tone.Options{Depth: depth}, 1)
			film := run(t, f, err)
			p, err := FromFilm(film, c, true, Options{Hue: grey})
			got := proofOf(t, p, err)
			for i, v := range tones {
				lab := meanLab(got, i*wide+4, (i+1)*wide-4)
				if math.Abs(float64(lab.L)-aim(v)) > 0.2 || math.Hypot(lab.A, lab.B) > 0.3 {
					t.Errorf("depth %d, colour %v, tone %g: %.2f, want L* %.2f", depth, c.colour, v, lab, aim(v))
				}
			}
		}
	}
}

func TestExpect(t *testing.T) {
	for _, positive := range []bool{false, true} {
		for _, e := range Expect(olive, positive, tones...) {
			want := aim(e.Tone)
			if positive { // a film positive on this negative-working print
				want = aim(100 - e.Tone)
			}
			if math.Abs(float64(e.Print)-want) > 1e-9 || math.Abs(float64(olive.PrintLightness(e.Ink)-e.Print)) > 1e-12 {
				t.Errorf("positive %v: %+v, want L* %g", positive, e, want)
			}
		}
	}
}

// Proofs show the negative's crop and part, upright, no larger than asked.
func TestProofSize(t *testing.T) {
	tests := []struct {
		n             tone.Options
		orientation   int
		longest       int
		width, height int
	}{
		{tone.Options{}, 1, 0, 320, 200}, {tone.Options{}, 6, 0, 200, 320},
		{tone.Options{}, 1, 160, 160, 100}, {tone.Options{}, 8, 160, 100, 160}, {tone.Options{}, 1, 5000, 320, 200},
		{tone.Options{WidthMM: 100, HeightMM: 100, Fit: tone.FitCrop}, 1, 150, 150, 150},
		{tone.Options{WidthMM: 320, Part: &tone.Part{XMM: 10, YMM: 10, WidthMM: 50, HeightMM: 100}}, 1, 80, 40, 80},
		{tone.Options{Rotate: 90}, 1, 160, 100, 160}, {tone.Options{Rotate: 270}, 6, 160, 160, 100}, {tone.Options{Rotate: 180}, 1, 160, 160, 100},
		{tone.Options{Rotate: 90, WidthMM: 50}, 1, 160, 100, 160},
		{tone.Options{RotateToFit: true, WidthMM: 100, HeightMM: 160}, 1, 160, 100, 160},
		{tone.Options{Edge: tone.EdgeOpaque, EdgeMM: 9, Marks: true, CheckStrip: true, Label: "x", Depth: 16}, 1, 0, 320, 200},
	}
	for _, test := range tests {
		src := wedge(make([]float64, 320), 1, 200)
		src.header.Orientation = test.orientation
		p, err := FromPicture(src, lightness{}, black, test.n, Options{LongestPX: test.longest, Hue: grey})
		if err != nil {
			t.Errorf("%+v: %v", test, err)
			continue
		}
		if h := p.Header(); h.Width != test.width || h.Height != test.height || h.Bits != 8 {
			t.Errorf("%+v: proof is %+v", test, h)
		}
	}
}

func TestProofOfGreyFilmNeedsNeutralRamp(t *testing.T) {
	_, err := FromFilm(wedge(tones, 4, 4), olive, true, Options{Hue: grey})
	var f *fault.Error
	if !errors.As(err, &f) || f.Hint == "" {
		t.Errorf("got %v, want an error with a hint", err)
	}
}

func TestNoteSaysEstimate(t *testing.T) {
	p, err := FromPicture(wedge(tones, 4, 4), lightness{}, olive, tone.Options{}, Options{Hue: blue})
	if err != nil {
		t.Fatal(err)
	}
	if p.Header().Description != p.Note || !strings.Contains(p.Note, "estimate") || !strings.Contains(p.Note, blue.Name) {
		t.Errorf("note %q", p.Note)
	}
}

// Codes beside the ramp find its nearest place; codes on it, their own.
func TestRampFindsItsPlace(t *testing.T) {
	r := rampOf(olive)
	for ink := 0.0; ink <= 100; ink += 0.37 {
		var codes [3]uint16
		for i, v := range olive.Device(ink) {
			codes[i] = uint16(math.Round(v * 65535))
		}
		want := float64(olive.PrintLightness(ink))
		if got := float64(tone.Of(r.light(codes))); math.Abs(got-want) > 0.01 {
			t.Errorf("ink %g: L* %.4f, want %.4f", ink, got, want)
		}
	}
	if got := tone.Of(r.light([3]uint16{65535, 65535, 60000})); got < blackL || got > blackL+1 {
		t.Errorf("hardly any ink, beside the ramp: L* %g, want just above black", got)
	}
}

// A ramp that bends is found along all of its way, and its straight pieces are
// few; grey films and colours met before are looked up as they are searched.
func TestBentRampFindsItsPlace(t *testing.T) {
	c := bent{}
	r, l, grey := rampOf(c), newFilmLight(c, 3), newFilmLight(black, 1)
	if len(r.legs) > 5 {
		t.Errorf("%d straight pieces, want the three of the ramp and one at each bend", len(r.legs))
	}
	dst := make([]float32, 1)
	for range 2 {
		for ink := 0.0; ink <= 100; ink += 0.37 {
			var codes [3]uint16
			for i, v := range c.Device(ink) {
				codes[i] = uint16(math.Round(v * 65535))
			}
			l.Row(dst, codes[:])
			if got, want := float64(tone.Of(dst[0])), float64(c.PrintLightness(ink)); math.Abs(got-want) > 0.02 { // a bend may lie inside a step
				t.Errorf("ink %g: L* %.4f, want %.4f", ink, got, want)
			}
			code := uint16(math.Round(black.Device(ink)[0] * 65535))
			grey.Row(dst, []uint16{code})
			if got, want := float64(tone.Of(dst[0])), float64(black.PrintLightness(ink)); math.Abs(got-want) > 0.01 {
				t.Errorf("grey, ink %g: L* %.4f, want %.4f", ink, got, want)
			}
		}
	}
}

// bent is a ramp that bends at 21 and 64 % ink.
type bent struct{ fakeCurve }

func (bent) Neutral() bool { return false }

func (bent) Device(ink float64) [3]float64 {
	return [3]float64{1 - min(ink, 21)/40, 1 - min(max(ink-21, 0), 43)/70, 1 - ink/100*0.8}
}
