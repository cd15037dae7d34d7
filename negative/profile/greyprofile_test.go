package profile

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/image/tiff"

	"actinic/testdata/outside"
)

// curves are calibrations as they come: bent both ways, with a printer's kinks,
// using part of the ink, and starting above clear film.
var curves = map[string]Ink{
	"even":       func(t float64) float64 { return t },
	"steep":      joined([2]float64{0, 0}, [2]float64{1, 12}, [2]float64{10, 40}, [2]float64{100, 100}),
	"slow":       func(t float64) float64 { return 100 * math.Pow(t/100, 2.2) },
	"part":       func(t float64) float64 { return 71 * math.Pow(t/100, 0.8) },
	"above":      func(t float64) float64 { return 4 + 80*t/100 },
	"kinks":      joined([2]float64{0, 0}, [2]float64{5, 20}, [2]float64{13, 30}, [2]float64{14, 33}, [2]float64{50, 60.5}, [2]float64{99, 71}, [2]float64{100, 74}),
	"highlights": func(t float64) float64 { return 90 * (math.Exp(t/20) - 1) / (math.Exp(5) - 1) },
}

func joined(p ...[2]float64) Ink {
	return func(t float64) float64 {
		for i := 1; i < len(p); i++ {
			if a, b := p[i-1], p[i]; t <= b[0] {
				return a[1] + (t-a[0])/(b[0]-a[0])*(b[1]-a[1])
			}
		}
		return p[len(p)-1][1]
	}
}

var made = time.Date(2031, 4, 5, 6, 7, 8, 0, time.UTC)

func of(ink Ink) GreyProfile {
	return GreyProfile{Description: "Cyanotype on Bergwerk No. 3", Copyright: "none", Ink: ink, Created: made}
}

// greyLink is the link from grey coded in L* to a grey film.
func greyLink(ink Ink) Link {
	return Link{Description: "Cyanotype on Bergwerk No. 3", Copyright: "none", From: CodedLightness, Grey: true, Created: made,
		Film: func(tone float64) [3]float64 { v := 1 - ink(tone)/100; return [3]float64{v, v, v} }}
}

// lightnessProfile writes the profile of grey coded in L*.
func lightnessProfile(w io.Writer, _ GreyProfile) error {
	return WriteCoded(w, CodedLightness, true, made)
}

func written[P any](t *testing.T, write func(io.Writer, P) error, p P) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// scale is 1001 tones over the whole scale, ends included.
func scale() [][]float64 {
	rows := make([][]float64, 1001)
	for i := range rows {
		rows[i] = []float64{float64(i) / 10, 0, 0}
	}
	return rows
}

// codedInLightness is the tones as transicc takes grey coded in L*: 0..255.
func codedInLightness(tones [][]float64) [][]float64 {
	rows := make([][]float64, len(tones))
	for i := range tones {
		rows[i] = []float64{tones[i][0] / 100 * 255}
	}
	return rows
}

// follows holds what transicc makes of rows against want at each tone: film ink
// or film grey, 0..1.
func follows(t *testing.T, what string, rows [][]float64, want func(tone float64) float64, within float64, args ...string) {
	t.Helper()
	for i, got := range transicc(t, rows, args...) {
		tone := float64(i) / 10
		if d := math.Abs(got[0]/255 - want(tone)); !(d <= within) {
			t.Errorf("%s: tone %g gives %.6f, want %.6f", what, tone, got[0]/255, want(tone))
			return
		}
	}
}

// TestGreyProfileGivesTheCurve holds what lcms2 makes of the profile against the
// curve itself: within 1/1000 of full ink at each of 1001 tones, black and white
// included, with any intent, with and without black point compensation.
func TestGreyProfileGivesTheCurve(t *testing.T) {
	tone := saved(t, "tone.icc", written(t, lightnessProfile, of(nil)))
	rows := codedInLightness(scale())
	for name, ink := range curves {
		grey := saved(t, "grey.icc", written(t, WriteGrey, of(ink)))
		want := func(tone float64) float64 { return ink(tone) / 100 }
		follows(t, name+" from Lab", scale(), want, 1e-3, "-i*Lab4", "-o"+grey)
		for _, option := range []string{"-t1", "-b", "-t0", "-t3", "-c0"} {
			follows(t, name+" "+option, rows, want, 1e-3, option, "-i"+tone, "-o"+grey)
		}
	}
}

// TestLinkGivesTheGreyOfTheFilm holds lcms2's use of the device link against the
// curve: within 2/10000 of full ink.
func TestLinkGivesTheGreyOfTheFilm(t *testing.T) {
	rows := codedInLightness(scale())
	for name, ink := range curves {
		link := saved(t, "link.icc", written(t, WriteLink, greyLink(ink)))
		want := func(tone float64) float64 { return 1 - ink(tone)/100 }
		follows(t, name, rows, want, 2e-4, "-l"+link)
	}
}

// TestPicturesThroughTificc takes a user's way: lcms2's tificc on a 16-bit grey
// picture coded in L*. The link holds with its defaults, which precalculate; the
// profile needs that off (-c0).
func TestPicturesThroughTificc(t *testing.T) {
	in := saved(t, "in.tif", ramp(t))
	tone := saved(t, "tone.icc", written(t, lightnessProfile, of(nil)))
	for name, ink := range curves {
		grey := saved(t, "grey.icc", written(t, WriteGrey, of(ink)))
		link := saved(t, "link.icc", written(t, WriteLink, greyLink(ink)))
		film := func(tone float64) float64 { return 1 - ink(tone)/100 }
		tificc(t, name+" by link", in, film, 2e-4, "-l"+link)
		tificc(t, name+" by link, not precalculated", in, film, 2e-4, "-c0", "-l"+link)
		tificc(t, name+" by profile", in, func(tone float64) float64 { return ink(tone) / 100 }, 1e-3,
			"-t1", "-c0", "-i"+tone, "-o"+grey)
	}
}

const rampWidth = 4096

// ramp is a 16-bit grey TIFF of one row from black to white.
func ramp(t *testing.T) []byte {
	t.Helper()
	picture := image.NewGray16(image.Rect(0, 0, rampWidth, 1))
	for x := range rampWidth {
		picture.SetGray16(x, 0, color.Gray16{Y: uint16(x * 65535 / (rampWidth - 1))})
	}
	var b bytes.Buffer
	if err := tiff.Encode(&b, picture, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// tificc converts the ramp and holds each pixel against want.
func tificc(t *testing.T, what, in string, want func(tone float64) float64, within float64, args ...string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out.tif")
	args = append(append([]string{"-w16"}, args...), in, out)
	outside.Run(t, "tificc", "liblcms2-utils", args...)
	film := decoded(t, out)
	for x := range rampWidth {
		tone := float64(x*65535/(rampWidth-1)) / 655.35
		got := float64(film.Gray16At(x, 0).Y) / 65535
		if d := math.Abs(got - want(tone)); d > within {
			t.Errorf("%s: tone %g gives %.6f, want %.6f", what, tone, got, want(tone))
			return
		}
	}
}

func decoded(t *testing.T, path string) *image.Gray16 {
	t.Helper()
	m := decodedAny(t, path)
	g, ok := m.(*image.Gray16)
	if !ok {
		t.Fatalf("%s is %T, want 16-bit grey", path, m)
	}
	return g
}

func decodedAny(t *testing.T, path string) image.Image {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	m, err := tiff.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestProfilesSayWhatTheyAre reads the headers back by the byte positions of
// ICC.1:2010, 7.2 and 7.3.
func TestProfilesSayWhatTheyAre(t *testing.T) {
	for _, c := range []struct {
		write func(io.Writer, GreyProfile) error
		kind  string
		tags  []string // required by ICC.1:2010, 8.2 to 8.7
	}{
		{WriteGrey, "prtrGRAYLab ", []string{"desc", "cprt", "wtpt", "kTRC"}},
		{lightnessProfile, "mntrGRAYLab ", []string{"desc", "cprt", "wtpt", "kTRC"}},
		{func(w io.Writer, _ GreyProfile) error { return WriteCoded(w, CodedSRGB, true, made) }, "mntrGRAYXYZ ", []string{"desc", "cprt", "wtpt", "kTRC"}},
		{func(w io.Writer, _ GreyProfile) error { return WriteCoded(w, CodedLightness, false, made) }, "spacRGB Lab ", []string{"desc", "cprt", "wtpt", "A2B0", "B2A0"}},
		{func(w io.Writer, _ GreyProfile) error { return WriteCoded(w, CodedSRGB, false, made) }, "spacRGB XYZ ", []string{"desc", "cprt", "wtpt", "A2B0", "B2A0"}},
		{func(w io.Writer, p GreyProfile) error { return WriteLink(w, coloured(p.Ink)) }, "linkRGB RGB ", []string{"desc", "cprt", "pseq", "A2B0"}},
		{func(w io.Writer, p GreyProfile) error { return WriteLink(w, greyLink(p.Ink)) }, "linkGRAYGRAY", []string{"desc", "cprt", "pseq", "A2B0"}},
	} {
		data := written(t, c.write, of(curves["slow"]))
		if again := written(t, c.write, of(curves["slow"])); !bytes.Equal(data, again) {
			t.Errorf("%s: two runs differ", c.kind)
		}
		if got := string(data[12:24]); got != c.kind {
			t.Errorf("class and spaces %q, want %q", got, c.kind)
		}
		if got := int(binary.BigEndian.Uint32(data)); got != len(data) || len(data)%4 != 0 {
			t.Errorf("%s: size field %d of %d bytes", c.kind, got, len(data))
		}
		if data[8] != 4 || !bytes.Equal(data[24:36], []byte{7, 239, 0, 4, 0, 5, 0, 6, 0, 7, 0, 8}) {
			t.Errorf("%s: version %d, time % x", c.kind, data[8], data[24:36])
		}
		if got := int(data[131]); got != len(c.tags) {
			t.Errorf("%s: %d tags, want %d", c.kind, got, len(c.tags))
		}
		file, err := open(data)
		if err != nil {
			t.Fatal(err)
		}
		for _, tag := range c.tags {
			if _, err := file.tag(tag); err != nil {
				t.Errorf("%s: %v", c.kind, err)
			}
			if at, _, _ := file.entry(tag); at%4 != 0 {
				t.Errorf("%s: tag %s starts at %d, not on a multiple of 4", c.kind, tag, at)
			}
		}
	}
}

// TestGreyProfileReadsBack: the tone that the profile gives a level of ink is one
// that the curve gives that ink to, within a node of the profile's table.
func TestGreyProfileReadsBack(t *testing.T) {
	for name, ink := range curves {
		lum, err := FromICC(written(t, WriteGrey, of(ink)), 1)
		if err != nil {
			t.Fatal(err)
		}
		for tone := 0.25; tone < 100; tone += 0.25 {
			code := uint16(math.Round(ink(tone) / 100 * 65535))
			var y [1]float32
			lum.Row(y[:], []uint16{code})
			if got := toLightness(float64(y[0])); math.Abs(ink(got)-ink(tone)) > 0.05 {
				t.Errorf("%s: tone %.2f has %.3f %% ink, which reads as tone %.3f of %.3f %%", name, tone, ink(tone), got, ink(got))
			}
		}
	}
}

// TestBlackAndWhiteAreMarked: the codes 0 and 65535 of the tone curve stand for
// the curve's own ends only, whatever rounds to them, and the curve never falls
// by more than the mark.
func TestBlackAndWhiteAreMarked(t *testing.T) {
	for name, ink := range map[string]Ink{
		"steep at black": func(t float64) float64 { return 100 * math.Pow(t/100, 0.3) },
		"steep at white": func(t float64) float64 { return 80 - 80*math.Pow(1-t/100, 0.3) },
		"from ink":       func(t float64) float64 { return 20 + 60*t/100 },
	} {
		table, err := ink.codes()
		if err != nil {
			t.Fatal(err)
		}
		for i, code := range table {
			level := 100 * float64(i) / (inkNodes - 1)
			const node = 100.0 / (inkNodes - 1)
			if black := level <= ink(0); black != (code == 0) {
				t.Errorf("%s: %.3f %% ink has the code %d", name, level, code)
			}
			if white := level >= ink(100) && level < ink(100)+node; white != (code == 65535) {
				t.Errorf("%s: %.3f %% ink has the code %d", name, level, code)
			}
			if i > 0 && int(code) < int(table[i-1])-1 {
				t.Errorf("%s: falls at %.3f %% ink", name, level)
			}
		}
	}
}

func TestCurvesThatCannotBeWritten(t *testing.T) {
	for name, ink := range map[string]Ink{
		"flat":    func(t float64) float64 { return math.Min(t, 50) },
		"falling": func(t float64) float64 { return 100 - t },
		"below":   func(t float64) float64 { return t - 1 },
		"beyond":  func(t float64) float64 { return 1.01 * t },
		"none":    func(float64) float64 { return math.NaN() },
	} {
		if WriteGrey(io.Discard, of(ink)) == nil {
			t.Errorf("a curve that is %s was written", name)
		}
	}
}
