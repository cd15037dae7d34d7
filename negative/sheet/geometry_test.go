package sheet

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

const testPPI = 600

// seen renders the only page of a file at 600 pixels an inch and turns it as
// the film is seen from above: mirrored when its ink side lies down.
func seen(t *testing.T, name string, mirrored bool) *image.Gray {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "page")
	outside.Run(t, "pdftocairo", "poppler-utils", "-r", "600", "-gray", "-png", "-singlefile", name, stem)
	data, err := os.ReadFile(stem + ".png")
	if err != nil {
		t.Fatal(err)
	}
	decoded, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	g, ok := decoded.(*image.Gray)
	if !ok {
		t.Fatalf("the rendered page is %T", decoded)
	}
	if mirrored {
		for y := range g.Rect.Dy() {
			row := g.Pix[y*g.Stride : y*g.Stride+g.Rect.Dx()]
			for i, j := 0, len(row)-1; i < j; i, j = i+1, j-1 {
				row[i], row[j] = row[j], row[i]
			}
		}
	}
	return g
}

// runs returns the middles, in millimetres, of the dark runs along a line of
// pixels that starts at (xMM, yMM) and goes right or down for lengthMM. A run's
// ends are weighed by their greys, so that it is found between pixels.
func runs(g *image.Gray, xMM, yMM, lengthMM float64, down bool) []float64 {
	px := func(mm float64) int { return int(math.Round(mm * testPPI / 25.4)) }
	x, y, n := px(xMM), px(yMM), px(lengthMM)
	var out []float64
	weight, moment := 0.0, 0.0
	for i := range n {
		v := g.GrayAt(x+i, y).Y
		at := x + i
		if down {
			v, at = g.GrayAt(x, y+i).Y, y+i
		}
		dark := float64(255-v) / 255
		if dark > 0 {
			weight += dark
			moment += dark * (float64(at) + 0.5)
			continue
		}
		if weight > 0.5 {
			out = append(out, moment/weight*25.4/testPPI)
		}
		weight, moment = 0, 0
	}
	return out
}

// near fails unless the values are those wanted within 0.02 mm: half a pixel,
// where the sheet promises 0.1 mm.
func near(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d marks at %.3f, want %d at %.3f", what, len(got), got, len(want), want)
		return
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 0.02 {
			t.Errorf("%s: mark %d at %.3f mm, want %.3f", what, i, got[i], want[i])
		}
	}
}

func steps(from, step float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + step*float64(i)
	}
	return out
}

// geometryPage is an asymmetric page: one grey picture, off the middle.
func geometryPage(t *testing.T, inkUp bool) (Options, []Page, string) {
	t.Helper()
	opts := testOptions(t, "5x7in")
	opts.InkUp = inkUp
	it := item(70, 50)
	it.Marks, it.Open = true, open(imageForm{700, 500, 1, 16}, func(x, y, c int) uint16 {
		if x < 100 && y < 100 { // a light square at the raster's top-left
			return 50000
		}
		return 0
	})
	pages, err := Layout([]Item{it}, opts)
	if err != nil || len(pages) != 1 || len(pages[0].rulers) != 2 {
		t.Fatalf("%d pages, %v", len(pages), err)
	}
	return opts, pages, saved(t, pages, opts)
}

// TestGeometry measures a page as poppler draws it.
func TestGeometry(t *testing.T) {
	_, pages, name := geometryPage(t, false)
	g := seen(t, name, true)
	t.Run("rulers", func(t *testing.T) { checkRulers(t, g, pages[0].rulers) })
	t.Run("picture", func(t *testing.T) { checkPicture(t, g, pages[0].Placements[0]) })
	t.Run("ink up", func(t *testing.T) { checkMirrored(t, g, pages[0]) })
}

// checkRulers finds a tick each millimetre of the 100 mm rulers, both ways.
func checkRulers(t *testing.T, g *image.Gray, rulers []ruler) {
	for _, r := range rulers {
		if r.lengthMM != 100 {
			t.Errorf("a ruler of %g mm", r.lengthMM)
		}
		for depth, step := range map[float64]float64{tickMM * 0.7: 1, (tickMM + tick5MM) / 2: 5, (tick5MM + tickCmMM) / 2: 10} {
			n := int(100/step) + 1
			if r.upright {
				near(t, "upright ruler", runs(g, r.x+depth, r.y-0.5, 101, true), steps(r.y, step, n))
			} else {
				near(t, "level ruler", runs(g, r.x-0.5, r.y+depth, 101, false), steps(r.x, step, n))
			}
		}
	}
}

// checkPicture finds the picture and its corner marks where Layout says.
func checkPicture(t *testing.T, g *image.Gray, p Placement) {
	right, bottom := p.XMM+p.WidthMM, p.YMM+p.HeightMM
	near(t, "corner mark above", runs(g, p.XMM-1, p.YMM-4.5, 5, false), []float64{p.XMM})
	near(t, "corner mark below", runs(g, right-1, bottom+4.5, 2, false), []float64{right})
	near(t, "corner marks left", runs(g, p.XMM-3, p.YMM-2, p.HeightMM+4, true), []float64{p.YMM, bottom})
	near(t, "width", runs(g, p.XMM-0.8, p.YMM+30, p.WidthMM+1.6, false), []float64{p.XMM + p.WidthMM/2})
	near(t, "height", runs(g, p.XMM+30, p.YMM-0.5, p.HeightMM+1, true), []float64{p.YMM + p.HeightMM/2})
	for x, want := range map[float64]uint8{p.XMM - 0.1: 255, p.XMM + 0.1: 0, right - 0.1: 0, right + 0.1: 255} {
		if got := greyAt(g, x, p.YMM+30); got != want {
			t.Errorf("grey %d at x %.2f mm, want %d", got, x, want)
		}
	}
	// The raster's first pixel is at the top-left of the printed page, so at
	// the top-right as seen from above: nobody mirrors the picture.
	if greyAt(g, right-5, p.YMM+5) < 150 || greyAt(g, p.XMM+5, p.YMM+5) != 0 {
		t.Error("the picture's light corner is not where the printed page must have it")
	}
}

func greyAt(g *image.Gray, xMM, yMM float64) uint8 {
	return g.GrayAt(int(xMM*testPPI/25.4), int(yMM*testPPI/25.4)).Y
}

// checkMirrored compares the page, as seen from above, with one for film that
// lies ink side up: all is the same but for the picture itself, and the note
// at the foot.
func checkMirrored(t *testing.T, down *image.Gray, page Page) {
	_, _, name := geometryPage(t, true)
	up := seen(t, name, false)
	if down.Rect != up.Rect {
		t.Fatalf("%v and %v", down.Rect, up.Rect)
	}
	p := page.Placements[0]
	bottom := int((p.YMM + p.HeightMM + 0.5) * testPPI / 25.4)
	foot := int((page.rulers[0].y + 3) * testPPI / 25.4)
	if n := differing(down, up, bottom, foot); n > 60 {
		t.Errorf("%d pixels of label and rulers differ", n)
	}
	if n := differing(down, up, 0, bottom); n < 100000 { // two light squares of 10 mm: 2 x 55800
		t.Errorf("only %d pixels of the picture differ: it was mirrored with the page", n)
	}
}

// differing counts pixels that differ by clearly more than half the scale in the
// rows from y0 to y1: an edge on the middle of a pixel may be drawn either way.
func differing(a, b *image.Gray, y0, y1 int) int {
	n := 0
	for y := y0; y < y1; y++ {
		for x := range a.Rect.Dx() {
			if d := int(a.GrayAt(x, y).Y) - int(b.GrayAt(x, y).Y); d > 140 || d < -140 {
				n++
			}
		}
	}
	return n
}

// A turned picture is a quarter turn clockwise as seen from above of what an
// upright one shows, at its size.
func TestTurnedPicture(t *testing.T) {
	opts := testOptions(t, "80x120mm")
	it := item(90, 60)
	it.Open = open(imageForm{750, 500, 1, 16}, func(x, y, c int) uint16 {
		if x >= 650 && y < 100 { // as seen from above: top-left
			return 50000
		}
		return 0
	})
	pages, err := Layout([]Item{it}, opts)
	if err != nil || !pages[0].Placements[0].Turned {
		t.Fatalf("not turned: %v", err)
	}
	g := seen(t, saved(t, pages, opts), true)
	p := pages[0].Placements[0]
	near(t, "width", runs(g, p.XMM-0.4, p.YMM+60, p.WidthMM+0.8, false), []float64{p.XMM + 30})
	near(t, "height", runs(g, p.XMM+30, p.YMM-0.5, p.HeightMM+1, true), []float64{p.YMM + 45})
	at := func(x, y float64) uint8 { return greyAt(g, p.XMM+x, p.YMM+y) }
	// Turned clockwise, top-left comes to top-right.
	if at(57, 3) < 150 || at(3, 3) != 0 || at(3, 87) != 0 || at(57, 87) != 0 {
		t.Errorf("light corner misplaced: %d %d %d %d", at(57, 3), at(3, 3), at(3, 87), at(57, 87))
	}
}
