package report

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

// sampleBars are an invented ranking: colours that reach, one known by its bound
// alone, and some that fall short.
func sampleBars() []Bar {
	bar := func(name string, r, g, b uint8, uv, sd float64, reaches bool, note string) Bar {
		return Bar{Name: name, Swatch: color.NRGBA{R: r, G: g, B: b, A: 255}, Value: uv, Low: uv - 2*sd, High: uv + 2*sd, Reaches: reaches, Note: note}
	}
	open := bar("0, 255, 0", 0, 255, 0, 2.2, 0, true, "ink load 41 %")
	open.Open = true
	return []Bar{
		bar("255, 255, 0", 255, 255, 0, 2.04, 0.03, true, "ink load 30 %"),
		bar("255, 153, 0", 255, 153, 0, 2.31, 0.06, true, "ink load 36 %"),
		open,
		bar("255, 255, 64", 255, 255, 64, 1.83, 0.02, false, ""),
		bar("0, 0, 0", 0, 0, 0, 1.61, 0.02, false, ""),
		bar("255, 255, 255", 255, 255, 255, 0.001, 0.004, false, ""),
	}
}

func TestRankedColoursSayAllNames(t *testing.T) {
	svg := plotted(t, "svg", RankedColours(sampleBars(), 1.85))
	got := texts(t, svg)
	for i := range got {
		got[i] = strings.TrimSpace(got[i])
	}
	for _, want := range []string{"255, 255, 0", "0, 255, 0", "0, 0, 0", "ink load 36 %", "needed range 1.85",
		"reaches the needed range", "does not surely reach it", "doubt (95 %)", "at least", "UV density, net above clear film (log10)"} {
		if !slices.Contains(got, want) {
			t.Errorf("%q is not in the plot: %q", want, got)
		}
	}
}

// A bar is as long as its value: pixels of its fill are counted on the row.
func TestBarsAreAsLongAsTheirValues(t *testing.T) {
	bars := []Bar{
		{Name: "a", Swatch: color.NRGBA{R: 200, A: 255}, Value: 2, Low: 2, High: 2, Reaches: true},
		{Name: "b", Swatch: color.NRGBA{G: 200, A: 255}, Value: 1, Low: 1, High: 1},
	}
	img, err := png.Decode(bytes.NewReader(plotted(t, "png", RankedColours(bars, 0))))
	if err != nil {
		t.Fatal(err)
	}
	long, short := widest(img, paler(lineColours[0]).(color.NRGBA)), widest(img, gridColour)
	if ratio := float64(long) / float64(short); long < 300 || math.Abs(ratio-2) > 0.05 {
		t.Errorf("bars of 2 and 1 are %d and %d pixels long", long, short)
	}
	for _, b := range bars {
		if n := count(img, b.Swatch); n < 200 {
			t.Errorf("%s: a swatch of %d pixels", b.Name, n)
		}
	}
}

// widest is the longest run of a colour on any row of pixels, gaps of lines over
// it counted.
func widest(img image.Image, c color.NRGBA) int {
	most := 0
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		first, last, n := -1, -1, 0
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			if color.NRGBAModel.Convert(img.At(x, y)) == c {
				if first < 0 {
					first = x
				}
				last, n = x, n+1
			}
		}
		if first >= 0 && n > (last-first)*9/10 {
			most = max(most, last-first)
		}
	}
	return most
}

func TestBarsRefused(t *testing.T) {
	for name, c := range map[string]struct {
		figure Figure
		want   string
	}{
		"none":      {RankedColours(nil, 1), "nothing to draw"},
		"many":      {RankedColours(make([]Bar, mostBars+1), 1), "21 bars"},
		"NaN":       {RankedColours([]Bar{{Name: "x", Value: math.NaN()}}, 1), `bar "x" has NaN`},
		"NaN bound": {RankedColours([]Bar{{Name: "x", Open: true, Value: math.NaN()}}, 1), `bar "x" has NaN`},
		"with line": {Figure{Bars: sampleBars(), Series: []Series{{Name: "l", X: []float64{0, 1}, Y: []float64{0, 1}}}}, "nothing else"},
	} {
		if err := Plot(io.Discard, "svg", c.figure); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}
