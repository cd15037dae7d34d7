package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	stddraw "image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func plotted(t *testing.T, format string, f Figure) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Plot(&b, format, f); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPlotGivesTheSameBytes(t *testing.T) {
	for name, f := range sampleFigures() {
		if !bytes.Equal(plotted(t, "svg", f), plotted(t, "svg", f)) {
			t.Errorf("%s.svg differs from one time to the next", name)
		}
	}
	f := sampleFigures()["curve"]
	if !bytes.Equal(plotted(t, "png", f), plotted(t, "png", f)) {
		t.Error("curve.png differs from one time to the next")
	}
}

func TestPNGHasItsSizeAndColours(t *testing.T) {
	for _, name := range []string{"characteristic", "fallsshort"} {
		img, err := png.Decode(bytes.NewReader(plotted(t, "png", sampleFigures()[name])))
		if err != nil {
			t.Fatal(err)
		}
		if img.Bounds() != image.Rect(0, 0, WidthPixels, HeightPixels) {
			t.Errorf("%s: %v", name, img.Bounds())
		}
		for what, c := range map[string]color.Color{"line": lineColours[0], "band": paler(lineColours[0])} {
			// A line runs over most of the width, three pixels thick.
			if n := count(img, c); n < 600 {
				t.Errorf("%s: %d pixels of the %s's colour", name, n, what)
			}
		}
		if n := count(img, color.White); n < WidthPixels*HeightPixels*3/4 {
			t.Errorf("%s: only %d white pixels; a light background expected", name, n)
		}
	}
}

// TestSamplesToLookAt writes every sample as PNG and SVG to the folder that
// ACTINIC_PLOTS names: whether a plot reads well is for eyes to judge.
func TestSamplesToLookAt(t *testing.T) {
	dir := os.Getenv("ACTINIC_PLOTS")
	if dir == "" {
		t.Skip("ACTINIC_PLOTS names no folder")
	}
	for name, f := range sampleFigures() {
		for _, format := range []string{"png", "svg"} {
			if err := os.WriteFile(filepath.Join(dir, name+"."+format), plotted(t, format, f), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func count(img image.Image, c color.Color) int {
	flat := image.NewNRGBA(img.Bounds())
	stddraw.Draw(flat, flat.Bounds(), img, image.Point{}, stddraw.Src)
	want := color.NRGBAModel.Convert(c).(color.NRGBA)
	n := 0
	for i := 0; i < len(flat.Pix); i += 4 {
		if flat.Pix[i] == want.R && flat.Pix[i+1] == want.G && flat.Pix[i+2] == want.B {
			n++
		}
	}
	return n
}

// texts returns the text elements of an SVG, and fails if it is not XML.
func texts(t *testing.T, svg []byte) []string {
	t.Helper()
	var out []string
	inText := false
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			inText = e.Name.Local == "text"
		case xml.CharData:
			if inText {
				out = append(out, string(e))
			}
		case xml.EndElement:
			inText = false
		}
	}
}

func TestSVGSaysEveryName(t *testing.T) {
	for name, f := range sampleFigures() {
		svg := plotted(t, "svg", f)
		if bytes.Contains(svg, []byte("NaN")) || bytes.Contains(svg, []byte("-8000000000000000")) {
			t.Errorf("%s: a number or colour that is none", name)
		}
		got := texts(t, svg)
		want := []string{f.Title, f.X.Label}
		if f.Bars == nil {
			want = append(want, f.Y.Label)
		}
		for _, s := range f.Series {
			if s.Low != nil {
				s.Name += ", and its doubt (95 %)"
			}
			want = append(want, s.Name)
		}
		for _, p := range f.Points {
			want = append(want, p.Name)
		}
		for _, g := range f.Guides {
			want = append(want, g.Name)
		}
		for _, w := range want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %q is not in the plot", name, w)
			}
		}
	}
}

func TestPlotRefuses(t *testing.T) {
	good := Series{Name: "line", X: []float64{0, 1}, Y: []float64{0, 1}}
	with := func(change func(*Series)) Figure {
		s := good
		change(&s)
		return Figure{Title: "T", Series: []Series{s}}
	}
	for name, c := range map[string]struct {
		figure Figure
		want   string
	}{
		"nothing":       {Figure{Title: "T"}, "nothing to draw"},
		"one point":     {with(func(s *Series) { s.X, s.Y = s.X[:1], s.Y[:1] }), "two or more"},
		"short Y":       {with(func(s *Series) { s.Y = s.Y[:1] }), "columns of 2 and 1"},
		"NaN":           {with(func(s *Series) { s.Y = []float64{0, math.NaN()} }), "NaN as value 2"},
		"half a band":   {with(func(s *Series) { s.Low = s.Y }), "without the other"},
		"infinite band": {with(func(s *Series) { s.Low, s.High = s.Y, []float64{1, math.Inf(1)} }), "+Inf as value 2"},
		"back":          {with(func(s *Series) { s.X = []float64{1, 0} }), "runs back"},
		"points":        {Figure{Series: []Series{good}, Points: []Points{{Name: "p", X: []float64{1}}}}, "columns of 1 and 0"},
		"guide":         {Figure{Series: []Series{good}, Guides: []Guide{{Name: "g", X: 1, Y: 1}}}, "one NaN expected"},
	} {
		err := Plot(io.Discard, "png", c.figure)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if err := Plot(io.Discard, "gif", Figure{Series: []Series{good}}); err == nil {
		t.Error("format gif was drawn")
	}
}

func TestPlotTakesWhatIsThin(t *testing.T) {
	flat := Series{X: []float64{2, 2}, Y: []float64{1, 1}}
	for name, f := range map[string]Figure{
		"flat line":      {Series: []Series{flat}},
		"one reading":    {Points: []Points{{X: []float64{3}, Y: []float64{4}}}},
		"empty readings": {Series: []Series{flat}, Points: []Points{{Name: "none"}}},
	} {
		if svg := plotted(t, "svg", f); bytes.Contains(svg, []byte("NaN")) {
			t.Errorf("%s: NaN in the plot", name)
		}
	}
}

func TestPlotTellsWhenWritingFails(t *testing.T) {
	full := errors.New("disk full")
	for _, format := range []string{"png", "svg"} {
		if err := Plot(failingWriter{full}, format, sampleFigures()["curve"]); !errors.Is(err, full) {
			t.Errorf("%s: %v", format, err)
		}
	}
}

type failingWriter struct{ err error }

func (w failingWriter) Write([]byte) (int, error) { return 0, w.err }

func TestTicksStepByOneTwoOrFive(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 100, "0 10 20 30 40 50 60 70 80 90 100"},
		{-3.2, 0.1, "\u22123.0 \u22122.5 \u22122.0 \u22121.5 \u22121.0 \u22120.5 0.0"},
		{0.001, 0.0035, "0.0010 0.0015 0.0020 0.0025 0.0030 0.0035"},
		{0, 2000, "0 200 400 600 800 1000 1200 1400 1600 1800 2000"},
	} {
		var got []string
		for _, tick := range ticks(c.low, c.high, tickStep((c.high-c.low)/mostTicks)) {
			got = append(got, tick.Label)
			value, err := strconv.ParseFloat(strings.Replace(tick.Label, "\u2212", "-", 1), 64)
			if err != nil || math.Abs(value-tick.Value) > 1e-12 {
				t.Errorf("tick at %v is labelled %q", tick.Value, tick.Label)
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v to %v: %s, want %s", c.low, c.high, s, c.want)
		}
	}
}

// Names of guides neither touch each other nor leave the plot, wherever the
// lines are.
func TestGuideNamesKeepApart(t *testing.T) {
	guides := []Guide{GuideAtX("paper white", 0), GuideAtX("near by", 0.5), GuideAtX("black", 99.5), GuideAtX("first black", 100)}
	g := newGuideLines(guides, nil)
	c := draw.Canvas{Rectangle: vg.Rectangle{Max: vg.Point{X: 600, Y: 400}}}
	p := plot.New()
	p.X.Min, p.X.Max = 0, 100
	atX, _ := p.Transforms(&c)
	end := vg.Length(-10)
	for i, left := range g.nameLefts(c, atX) {
		if left < end+5 || left < c.Min.X {
			t.Errorf("%s begins at %v, the one before ends at %v", guides[i].Name, left, end)
		}
		end = left + g.name.Width(guides[i].Name)
		if end > c.Max.X+1e-9 {
			t.Errorf("%s ends at %v of %v", guides[i].Name, end, c.Max.X)
		}
	}
}

// In a grey copy lines must still differ: each has dashes of its own.
func TestLinesDifferWithoutColour(t *testing.T) {
	for i := range lineDashes {
		for j := range i {
			if slices.Equal(lineDashes[i], lineDashes[j]) {
				t.Errorf("lines %d and %d have the same dashes", j, i)
			}
		}
	}
	if len(lineDashes) < len(lineColours) {
		t.Error("fewer dashes than colours")
	}
}

func BenchmarkPlotPNG(b *testing.B) {
	f := sampleFigures()["characteristic"]
	for range b.N {
		if err := Plot(io.Discard, "png", f); err != nil {
			b.Fatal(err)
		}
	}
}
