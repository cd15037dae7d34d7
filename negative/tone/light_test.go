package tone

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"actinic/negative/raster"

	"golang.org/x/image/draw"
)

// linear takes samples as light itself.
type linear struct{}

func (linear) Row(dst []float32, src []uint16) {
	for i := range dst {
		dst[i] = float32(src[i]) / 65535
	}
}

// lit is a grey picture whose samples are light.
func lit(width, height int, at func(x, y int) float64) *fakePicture {
	return newPicture(raster.Header{Width: width, Height: height, Channels: 1, Bits: 16},
		func(x, y, _ int) uint16 { return uint16(math.Round(at(x, y) * 65535)) })
}

// noisy has deep shadows beside lights.
func noisy(width, height int) *fakePicture {
	r := rand.New(rand.NewPCG(7, uint64(width*height)))
	return lit(width, height, func(int, int) float64 {
		v := r.Float64()
		if r.IntN(3) == 0 {
			v *= v * v * 0.01
		}
		return v
	})
}

// of returns the light of a pixel.
func (p *fakePicture) of(x, y int) float64 { return float64(p.pix[y*p.header.Width+x]) / 65535 }

// keptRows takes rows of light.
type keptRows [][]float32

func (k keptRows) samples(i int, row []uint16) { linear{}.Row(k[i], row) }
func (k keptRows) light(i int, row []float32)  { copy(k[i], row) }

// lightRows makes all rows of a grid, so many at a time, and turns them.
func lightRows(t *testing.T, p *fakePicture, g *grid, band int) [][]float32 {
	t.Helper()
	p.row = 0
	m := newMaker(g, p.header, band, 0, false, false)
	w := &worker{in: newRowReader(p), header: p.header, lum: linear{}}
	rows := make(keptRows, g.down.count)
	for i := range rows {
		rows[i] = make([]float32, g.across.count)
	}
	for i := 0; i < len(rows); i += band {
		if err := w.make(t.Context(), m, m.begin(span{i, min(i+band, len(rows))}), rows); err != nil {
			t.Fatal(err)
		}
	}
	width, height := g.size()
	turned := make([][]float32, height)
	for y := range turned {
		turned[y] = make([]float32, width)
		for x := range turned[y] {
			sx, sy := g.turn.stored(x, y, g.across.count, g.down.count)
			turned[y][x] = rows[sy][sx]
		}
	}
	return turned
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

func planned(t *testing.T, p *fakePicture, orientation int, mirrored bool, o *Options) (*grid, *layout) {
	t.Helper()
	face := turnFor(orientation, false)
	w, h := face.size(p.header.Width, p.header.Height)
	l, err := newLayout(w, h, 0, o)
	if err != nil {
		t.Fatal(err)
	}
	return newGrid(p.header.Width, p.header.Height, l, face, turnFor(orientation, mirrored)), l
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
			p := noisy(71, 53)
			g, lay := planned(t, p, orientation, true, &o)
			up := turnFor(orientation, false)
			w, h := up.size(71, 53)
			at := func(x, y int) float64 { return p.of(up.stored(x, y, 71, 53)) }
			rows := lightRows(t, p, g, 9)
			for y := 0; y < len(rows); y += 3 {
				for x := 0; x < len(rows[y]); x += 2 {
					want := direct(at, w, h, lay, len(rows[y])-1-x, y) // mirrored
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
		for _, code := range []float64{0, 7, 12000, 65535} {
			p, v := lit(40, 30, func(int, int) float64 { return code / 65535 }), float32(code)/65535
			g, _ := planned(t, p, 1, false, &Options{WidthMM: widthMM, PPI: 25.4})
			for _, row := range lightRows(t, p, g, 64) {
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
	p := lit(w, h, func(x, y int) float64 { return 0.5 + 0.4*math.Sin(float64(x)/9)*math.Cos(float64(y)/7) })
	src := image.NewGray16(image.Rect(0, 0, w, h))
	for i, v := range p.pix {
		src.SetGray16(i%w, i/w, color.Gray16{Y: v})
	}
	for _, width := range []int{50, 200} {
		g, _ := planned(t, p, 1, false, &Options{WidthMM: float64(width), PPI: 25.4})
		dst := image.NewRGBA64(image.Rect(0, 0, g.across.count, g.down.count))
		draw.CatmullRom.Scale(dst, dst.Bounds(), src, src.Bounds(), draw.Src, nil)
		for y, row := range lightRows(t, p, g, 64) {
			for x, v := range row {
				if want := float64(dst.RGBA64At(x, y).R) / 65535; math.Abs(float64(v)-want) > 0.008 {
					t.Fatalf("width %d, pixel %d,%d: %.4f, image/draw gives %.4f", width, x, y, v, want)
				}
			}
		}
	}
}

func TestLightSameForAnyBands(t *testing.T) {
	o := &Options{WidthMM: 33, PPI: 25.4}
	var want [][]float32
	for _, band := range []int{1, 8, 1000} {
		p := noisy(101, 87)
		g, _ := planned(t, p, 6, true, o)
		got := lightRows(t, p, g, band)
		if want == nil {
			want = got
		}
		for y := range got {
			if !slices.Equal(got[y], want[y]) {
				t.Fatalf("bands of %d: row %d differs", band, y)
			}
		}
	}
}

// Two parts of a print laid side by side are the print: not a sample moves.
func TestPartsTile(t *testing.T) {
	whole := &Options{WidthMM: 60, PPI: 25.4}
	p := noisy(83, 61)
	g, _ := planned(t, p, 1, false, whole)
	want := lightRows(t, p, g, 64)
	for _, part := range []Part{{0, 0, 23, 44}, {23, 0, 37, 44}} {
		o := *whole
		o.Part = &part
		g, lay := planned(t, p, 1, false, &o)
		for y, row := range lightRows(t, p, g, 64) {
			for x, v := range row {
				if v != want[y][lay.part.x0+x] {
					t.Fatalf("part %v, pixel %d,%d: %g, the whole has %g", part, x, y, v, want[y][lay.part.x0+x])
				}
			}
		}
	}
}

// A fine checkerboard reduced four times must come out as its mean, not fold.
func TestLightDoesNotFold(t *testing.T) {
	p := lit(240, 240, func(x, y int) float64 { return float64((x + y) % 2) })
	g, _ := planned(t, p, 1, false, &Options{WidthMM: 60, PPI: 25.4})
	for y, row := range lightRows(t, p, g, 64) {
		for x, v := range row {
			if y > 2 && y < 57 && x > 2 && x < 57 && math.Abs(float64(v)-0.5) > 0.01 {
				t.Fatalf("pixel %d,%d: %g, want 0.5", x, y, v)
			}
		}
	}
}
