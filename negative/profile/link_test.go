package profile

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"actinic/testdata/outside"
)

// coloured is the link to a film in a brown ink whose way through RGB has a corner,
// as ink blends do.
func coloured(ink Ink) Link {
	return Link{Description: "Cyanotype in brown", Copyright: "none", From: CodedSRGB, Created: made, Film: func(tone float64) [3]float64 {
		u := ink(tone) / 100
		if u < 0.4 {
			return [3]float64{1 - 0.2*u/0.4, 1 - 0.3*u/0.4, 1 - 0.9*u/0.4}
		}
		v := (u - 0.4) / 0.6
		return [3]float64{0.8 - 0.5*v, 0.7 - 0.7*v, 0.1 + 0.1*v}
	}}
}

// inkFalling is a film whose ink falls as tone rises: a positive-working process.
func inkFalling(tone float64) float64 { return 90 - 80*math.Pow(tone/100, 0.7) }

// linkCurves are all that a link may hold.
func linkCurves() map[string]Ink {
	all := map[string]Ink{"falling": inkFalling, "flat": func(float64) float64 { return 50 }}
	for name, ink := range curves {
		all[name] = ink
	}
	return all
}

// sRGBTone is L* of an sRGB-coded grey, from IEC 61966-2-1:1999 and CIE 15:2004,
// 8.2.1.1, written out again here.
func sRGBTone(v float64) float64 {
	y := math.Pow((v+0.055)/1.055, 2.4)
	if v <= 0.04045 {
		y = v / 12.92
	}
	if y > 216.0/24389 {
		return 116*math.Cbrt(y) - 16
	}
	return y * 24389 / 27
}

// wholeScale is a 16-bit TIFF of all 65536 greys, in one channel or in three.
func wholeScale(t *testing.T, grey bool) string {
	t.Helper()
	var picture draw.Image = image.NewNRGBA64(image.Rect(0, 0, 256, 256))
	if grey {
		picture = image.NewGray16(picture.Bounds())
	}
	for i := range 65536 {
		picture.Set(i%256, i/256, color.Gray16{Y: uint16(i)})
	}
	var b bytes.Buffer
	if err := tiff.Encode(&b, picture, nil); err != nil {
		t.Fatal(err)
	}
	return saved(t, "scale.tif", b.Bytes())
}

// worst converts the whole scale with tificc and returns how far any channel of it is
// off the film, as a part of full ink.
func worst(t *testing.T, in string, film Film, tone func(v float64) float64, args ...string) float64 {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out.tif")
	outside.Run(t, "tificc", "liblcms2-utils", append(append([]string{"-w16"}, args...), in, out)...)
	made := decodedAny(t, out)
	off := 0.0
	for i := range 65536 {
		want := film(tone(float64(i) / 65535))
		r, g, b, _ := made.At(i%256, i/256).RGBA()
		for ch, got := range []uint32{r, g, b} {
			off = max(off, math.Abs(float64(got)/65535-want[ch]))
		}
	}
	return off
}

// TestLinksOverTheWholeScale holds lcms2's tificc on each of the 65536 values of a
// 16-bit picture against the curve, with its defaults and without precalculation.
func TestLinksOverTheWholeScale(t *testing.T) {
	in := map[bool]string{true: wholeScale(t, true), false: wholeScale(t, false)}
	lightness := func(v float64) float64 { return 100 * v }
	for name, ink := range linkCurves() {
		grey, brown := greyLink(ink), coloured(ink)
		fromSRGB := grey
		fromSRGB.From = CodedSRGB
		for _, c := range []struct {
			what  string
			link  Link
			tone  func(float64) float64
			args  []string
			limit float64
		}{
			{"grey from L*", grey, lightness, nil, 5e-4},
			{"grey from sRGB", fromSRGB, sRGBTone, nil, 5e-4},
			{"grey from sRGB, not precalculated", fromSRGB, sRGBTone, []string{"-c0"}, 2e-4},
			{"brown from sRGB", brown, sRGBTone, nil, 1e-3},
			{"brown from sRGB, not precalculated", brown, sRGBTone, []string{"-c0"}, 2e-4},
		} {
			file := saved(t, "link.icc", written(t, WriteLink, c.link))
			off := worst(t, in[c.link.Grey], c.link.Film, c.tone, append(c.args, "-l"+file)...)
			if !(off <= c.limit) {
				t.Errorf("%s, %s: off by %.6f of full ink, want at most %g", name, c.what, off, c.limit)
			}
			t.Logf("%s, %s: off by %.6f", name, c.what, off)
		}
	}
}

// TestTableGivesTheFilm reads a table as its own words say and holds it against the
// curve between its rows.
func TestTableGivesTheFilm(t *testing.T) {
	for name, ink := range linkCurves() {
		for _, l := range []Link{greyLink(ink), coloured(ink)} {
			rows := readTable(t, written(t, func(w io.Writer, l Link) error { return WriteTable(w, l, "a note\nof two lines") }, l))
			tone := sRGBTone
			if l.Grey {
				tone = func(v float64) float64 { return 100 * v }
			}
			for i := range 65536 {
				v := float64(i) / 65535
				want, got := l.Film(tone(v)), straight(rows, v)
				for ch := range got {
					if !(math.Abs(got[ch]-want[ch]) <= 1e-3) {
						t.Fatalf("%s, grey %v: %.6f gives %.6f, want %.6f", name, l.Grey, v, got[ch], want[ch])
					}
				}
			}
		}
	}
}

// TestTableInAnotherProgram gives the table's outputs to ImageMagick as a lookup
// picture and holds what that makes of all 65536 greys against the curve.
func TestTableInAnotherProgram(t *testing.T) {
	in, dir := wholeScale(t, true), t.TempDir()
	for name, ink := range linkCurves() {
		l := greyLink(ink)
		rows := readTable(t, written(t, func(w io.Writer, l Link) error { return WriteTable(w, l) }, l))
		lookup := image.NewGray16(image.Rect(0, 0, len(rows), 1))
		for x, row := range rows {
			lookup.SetGray16(x, 0, color.Gray16{Y: uint16(math.Round(row[1] * 65535))})
		}
		var b bytes.Buffer
		if err := tiff.Encode(&b, lookup, nil); err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(dir, "out.tif")
		outside.Run(t, "convert", "imagemagick", in, saved(t, "lookup.tif", b.Bytes()), "-interpolate", "bilinear", "-clut", "-depth", "16", out)
		film := decoded(t, out)
		off := 0.0
		for i := range 65536 {
			got := float64(film.Gray16At(i%256, i/256).Y) / 65535
			off = max(off, math.Abs(got-l.Film(float64(i) / 655.35)[0]))
		}
		t.Logf("%s: off by %.6f", name, off)
		if !(off <= 1e-3) {
			t.Errorf("%s: off by %.6f of full ink", name, off)
		}
	}
}

func readTable(t *testing.T, data []byte) [][]float64 {
	t.Helper()
	var rows [][]float64
	named := false
	for line := range strings.Lines(string(data)) {
		switch {
		case strings.HasPrefix(line, "#"):
		case !named:
			named = true
			if line != "input output\n" && line != "input red green blue\n" {
				t.Fatalf("the columns are %q", line)
			}
		default:
			var row []float64
			for _, f := range strings.Fields(line) {
				v, err := strconv.ParseFloat(f, 64)
				if err != nil {
					t.Fatalf("%q: %v", line, err)
				}
				row = append(row, v)
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// straight interpolates rows at a value of the first column.
func straight(rows [][]float64, v float64) []float64 {
	i := min(int(v*float64(len(rows)-1)), len(rows)-2)
	a, b := rows[i], rows[i+1]
	out := make([]float64, len(a)-1)
	for ch := range out {
		out[ch] = a[ch+1] + (v-a[0])/(b[0]-a[0])*(b[ch+1]-a[ch+1])
	}
	return out
}

func TestFilmsBeyondThePrinter(t *testing.T) {
	for name, ink := range map[string]Ink{
		"below":  func(t float64) float64 { return t - 1 },
		"beyond": func(t float64) float64 { return 1.01 * t },
		"none":   func(float64) float64 { return math.NaN() },
	} {
		if WriteLink(io.Discard, greyLink(ink)) == nil || WriteTable(io.Discard, greyLink(ink)) == nil {
			t.Errorf("a film that is %s was written", name)
		}
	}
}

// TestColoursToCodedGrey: lcms2 turns sRGB colours to the grey that the link takes, by
// the same light as FromICC, and back: 1331 colours, one channel and three.
func TestColoursToCodedGrey(t *testing.T) {
	var rows [][]float64
	for i := range 11 * 11 * 11 {
		rows = append(rows, []float64{float64(i%11) * 25.5, float64(i/11%11) * 25.5, float64(i/121) * 25.5})
	}
	for _, c := range []Coding{CodedSRGB, CodedLightness} {
		for _, grey := range []bool{true, false} {
			file := saved(t, "coded.icc", written(t, func(w io.Writer, c Coding) error { return WriteCoded(w, c, grey, made) }, c))
			coded := transicc(t, rows, "-c0", "-i*sRGB", "-o"+file)
			shown := transicc(t, coded, "-c0", "-i"+file, "-o*Lab4")
			for i, got := range coded {
				var y float64
				for ch, v := range rows[i] {
					y += srgbY[ch] * decodeSRGB(v/255)
				}
				for _, v := range got {
					if tone := c.Tone(v / 255); math.Abs(tone-toLightness(y)) > 0.02 {
						t.Fatalf("%v, grey %v: %v has tone %.4f, want %.4f", c, grey, rows[i], tone, toLightness(y))
					}
				}
				if s := shown[i]; math.Abs(s[0]-toLightness(y)) > 0.02 || math.Hypot(s[1], s[2]) > 0.05 {
					t.Fatalf("%v, grey %v: %v is shown as %.4f, want a grey of L* %.4f", c, grey, rows[i], s, toLightness(y))
				}
			}
		}
	}
}

// TestCodedGreyIsRead: a picture that was converted to the coded grey is still the same
// picture to 'negative'.
func TestCodedGreyIsRead(t *testing.T) {
	for _, c := range []Coding{CodedSRGB, CodedLightness} {
		for channels, grey := range map[int]bool{1: true, 3: false} {
			lum, err := FromICC(written(t, func(w io.Writer, c Coding) error { return WriteCoded(w, c, grey, made) }, c), channels)
			if err != nil {
				t.Fatal(err)
			}
			for code := 0; code <= 65535; code += 257 {
				want := float64(code) / 655.35
				if c == CodedSRGB {
					want = sRGBTone(float64(code) / 65535)
				}
				var y [1]float32
				lum.Row(y[:], []uint16{uint16(code), uint16(code), uint16(code)}[:channels])
				if got := toLightness(float64(y[0])); math.Abs(got-want) > 0.02 {
					t.Fatalf("%v in %d channels: code %d has tone %.4f, want %.4f", c, channels, code, got, want)
				}
			}
		}
	}
}
