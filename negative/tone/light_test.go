package tone

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/draw"
)

// grid is a picture in memory for the tests, and a feed of its rows.
type grid struct {
	width, height int
	y             []float32
	at, row       int
}

func (g *grid) next(_ context.Context, want int) (int, error) {
	n := min(want, g.height-g.row, 7) // short reads, as a strip reader makes
	if n <= 0 {
		return 0, fmt.Errorf("row %d is below the picture", g.row)
	}
	g.at, g.row = g.row, g.row+n
	return n, nil
}

func (g *grid) luminance(dst []float32, i int) {
	copy(dst, g.y[(g.at+i)*g.width:][:g.width])
}

func noisyGrid(width, height int) *grid {
	r := rand.New(rand.NewPCG(7, uint64(width*height)))
	g := &grid{width: width, height: height, y: make([]float32, width*height)}
	for i := range g.y {
		g.y[i] = float32(r.Float64())
		if r.IntN(3) == 0 {
			g.y[i] *= g.y[i] * g.y[i] * 0.01 // deep shadows beside lights
		}
	}
	return g
}

func lightRows(t *testing.T, l *light, each int) [][]float32 {
	t.Helper()
	rows := make([][]float32, l.height)
	for y := range rows {
		rows[y] = make([]float32, l.width)
	}
	for y := 0; y < len(rows); y += each {
		if err := l.read(t.Context(), rows[y:min(y+each, len(rows))]); err != nil {
			t.Fatal(err)
		}
	}
	return rows
}

// direct evaluates one pixel of the print from the whole upright picture in
// double precision, straight from the definition of the kernel.
func direct(at func(x, y int) float64, width, height int, l *layout, px, py int) float64 {
	wx := directWeights(px+l.part.x0-l.picture.x0, l.picture.width(), l.window[0], l.window[2], width)
	wy := directWeights(py+l.part.y0-l.picture.y0, l.picture.height(), l.window[1], l.window[3], height)
	sum := 0.0
	for y, v := range wy {
		for x, w := range wx {
			if v != 0 && w != 0 {
				sum += v * w * at(x, y)
			}
		}
	}
	return min(max(sum, 0), 1)
}

func directWeights(i, full int, from, to float64, sources int) []float64 {
	step := (to - from) / float64(full)
	centre := from + (float64(i)+0.5)*step
	w, sum := make([]float64, sources), 0.0
	for k := -8 * sources; k < 9*sources; k++ {
		x, v := math.Pi*(float64(k)+0.5-centre)/math.Max(step, 1), 0.0
		switch {
		case math.Abs(x) < 1e-9:
			v = 1
		case math.Abs(x) < 3*math.Pi:
			v = 3 * math.Sin(x) * math.Sin(x/3) / (x * x)
		}
		w[min(max(k, 0), sources-1)] += v // the edge goes on
		sum += v
	}
	for k := range w {
		w[k] /= sum
	}
	return w
}

func planned(t *testing.T, g *grid, orientation int, mirror bool, o *Options, jobs int) (*light, *layout) {
	t.Helper()
	upright, final := turnFor(orientation, false), turnFor(orientation, mirror)
	w, h := upright.size(g.width, g.height)
	l, err := newLayout(w, h, 0, o)
	if err != nil {
		t.Fatal(err)
	}
	return newLight(g, g.width, g.height, l, upright, final, jobs), l
}

// Resampled, cut and turned, every pixel is within 1 of 65535 of the direct
// double-precision evaluation of the Lanczos kernel on the upright picture.
func TestLightAgainstDirectEvaluation(t *testing.T) {
	sizes := map[string]Options{
		"smaller": {WidthMM: 30, PPI: 25.4},
		"larger":  {WidthMM: 130, PPI: 25.4},
		"cropped": {WidthMM: 37, HeightMM: 60, PPI: 25.4, Fit: FitCrop},
		"part":    {WidthMM: 90, PPI: 25.4, Part: &Part{11, 7, 40, 21}},
		"grid":    {PPI: 25.4, Part: &Part{3, 5, 31, 22}},
	}
	for name, o := range sizes {
		for orientation := 1; orientation <= 8; orientation++ {
			g := noisyGrid(71, 53)
			l, lay := planned(t, g, orientation, true, &o, 2)
			up := turnFor(orientation, false)
			w, h := up.size(g.width, g.height)
			at := func(x, y int) float64 {
				sx, sy := up.stored(x, y, g.width, g.height)
				return float64(g.y[sy*g.width+sx])
			}
			rows := lightRows(t, l, 9)
			for y := 0; y < l.height; y += 3 {
				for x := 0; x < l.width; x += 2 {
					want := direct(at, w, h, lay, l.width-1-x, y) // mirrored
					if math.Abs(float64(rows[y][x])-want) > 1.0/65535 {
						t.Fatalf("%s, orientation %d, pixel %d,%d: %.7f, want %.7f", name, orientation, x, y, rows[y][x], want)
					}
				}
			}
		}
	}
}

// A flat picture stays flat, to float32, whatever the scale.
func TestLightKeepsFlats(t *testing.T) {
	for _, widthMM := range []float64{9, 40, 41, 97} {
		for _, v := range []float32{0, 1e-4, 0.18, 1} {
			g := &grid{width: 40, height: 30, y: make([]float32, 1200)}
			for i := range g.y {
				g.y[i] = v
			}
			l, _ := planned(t, g, 1, false, &Options{WidthMM: widthMM, PPI: 25.4}, 1)
			for _, row := range lightRows(t, l, 64) {
				for _, got := range row {
					if math.Abs(float64(got-v)) > 4e-7*float64(v) {
						t.Fatalf("%g mm: %g became %g", widthMM, v, got)
					}
				}
			}
		}
	}
}

// An independent resampler (golang.org/x/image/draw, CatmullRom) sees the same
// smooth picture in the same place: a half-pixel shift would show as 0.02.
func TestLightAgainstImageDraw(t *testing.T) {
	const w, h = 120, 90
	g := &grid{width: w, height: h, y: make([]float32, w*h)}
	src := image.NewGray16(image.Rect(0, 0, w, h))
	for i := range g.y {
		x, y := float64(i%w), float64(i/w)
		v := 0.5 + 0.4*math.Sin(x/9)*math.Cos(y/7)
		g.y[i] = float32(v)
		src.SetGray16(i%w, i/w, color.Gray16{Y: uint16(math.Round(v * 65535))})
	}
	for _, width := range []int{50, 200} {
		l, _ := planned(t, g, 1, false, &Options{WidthMM: float64(width), PPI: 25.4}, 2)
		g.row = 0
		dst := image.NewRGBA64(image.Rect(0, 0, l.width, l.height))
		draw.CatmullRom.Scale(dst, dst.Bounds(), src, src.Bounds(), draw.Src, nil)
		for y, row := range lightRows(t, l, 64) {
			for x, v := range row {
				if want := float64(dst.RGBA64At(x, y).R) / 65535; math.Abs(float64(v)-want) > 0.008 {
					t.Fatalf("width %d, pixel %d,%d: %.4f, image/draw gives %.4f", width, x, y, v, want)
				}
			}
		}
	}
}

func TestLightSameForAnyJobsAndBands(t *testing.T) {
	o := &Options{WidthMM: 33, PPI: 25.4}
	var want [][]float32
	for _, jobs := range []int{1, 2, 5} {
		for _, band := range []int{1, 8, 1000} {
			l, _ := planned(t, noisyGrid(101, 87), 6, true, o, jobs)
			got := lightRows(t, l, band)
			if want == nil {
				want = got
			}
			for y := range got {
				for x := range got[y] {
					if got[y][x] != want[y][x] {
						t.Fatalf("jobs %d, band %d: pixel %d,%d differs", jobs, band, x, y)
					}
				}
			}
		}
	}
}

// Two parts of a print laid side by side are the print: not a sample moves.
func TestPartsTile(t *testing.T) {
	whole := &Options{WidthMM: 60, PPI: 25.4}
	l, _ := planned(t, noisyGrid(83, 61), 1, false, whole, 1)
	want := lightRows(t, l, 64)
	for _, p := range []Part{{0, 0, 23, 44}, {23, 0, 37, 44}} {
		o := *whole
		o.Part = &p
		l, lay := planned(t, noisyGrid(83, 61), 1, false, &o, 1)
		for y, row := range lightRows(t, l, 64) {
			for x, v := range row {
				if v != want[y][lay.part.x0+x] {
					t.Fatalf("part %v, pixel %d,%d: %g, the whole has %g", p, x, y, v, want[y][lay.part.x0+x])
				}
			}
		}
	}
}

// A fine checkerboard reduced four times must come out as its mean, not fold.
func TestLightDoesNotFold(t *testing.T) {
	g := &grid{width: 240, height: 240, y: make([]float32, 240*240)}
	for i := range g.y {
		g.y[i] = float32((i%240 + i/240) % 2)
	}
	l, _ := planned(t, g, 1, false, &Options{WidthMM: 60, PPI: 25.4}, 1)
	for y, row := range lightRows(t, l, 64) {
		for x, v := range row {
			if y > 2 && y < 57 && x > 2 && x < 57 && math.Abs(float64(v)-0.5) > 0.01 {
				t.Fatalf("pixel %d,%d: %g, want 0.5", x, y, v)
			}
		}
	}
}
