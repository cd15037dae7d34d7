package tone

import (
	"math/rand/v2"
	"testing"
)

// benchWidth is a row of a 24 megapixel picture.
const benchWidth = 6000

// MatrixTables makes lutLight one that Pixels takes in one loop.
func (l lutLight) MatrixTables() (r, g, b *[65536]float32) {
	return (*[65536]float32)(l[0]), (*[65536]float32)(l[1]), (*[65536]float32)(l[2])
}

// perPixel runs one stage on a row and reports megapixels a second.
func perPixel(b *testing.B, width int, row func()) {
	b.Helper()
	b.ReportAllocs()
	for b.Loop() {
		row()
	}
	b.ReportMetric(float64(width)*float64(b.N)/b.Elapsed().Seconds()/1e6, "MP/s")
	b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(width)/float64(b.N), "ns/pixel")
}

// grainy is a row of a grainy picture: a slow ramp with noise.
func grainy(samples int) []uint16 {
	r := rand.New(rand.NewPCG(3, 4))
	row := make([]uint16, samples)
	for i := range row {
		row[i] = uint16(2000 + 50000*i/samples + r.IntN(9000))
	}
	return row
}

func grainyLight(width int) []float32 {
	y := make([]float32, width)
	newLutLight().Row(y, grainy(3*width))
	return y
}

func baked(b *testing.B, c Curve) *InkTable {
	b.Helper()
	table, err := Bake(c)
	if err != nil {
		b.Fatal(err)
	}
	return table
}

func BenchmarkPixels(b *testing.B) {
	light := newLutLight()
	grey := lutGrey{light[1]}
	for _, c := range []struct {
		name     string
		curve    Curve
		lum      Luminance
		channels int
	}{
		{"rgb to grey", greyCurve, light, 3}, {"rgb to rgb", olive, light, 3},
		{"grey to grey", greyCurve, grey, 1}, {"grey to rgb", olive, grey, 1},
	} {
		b.Run(c.name, func(b *testing.B) {
			table := baked(b, c.curve)
			p := table.Pixels(c.lum, c.channels, PixelOptions{Mirror: true})
			src, dst := grainy(benchWidth*c.channels), make([]uint16, benchWidth*table.Channels())
			perPixel(b, benchWidth, func() { p.Row(dst, src) })
		})
	}
}

// lutGrey is luminance of grey pictures by a table.
type lutGrey struct{ table []float32 }

func (l lutGrey) Row(dst []float32, src []uint16) {
	for i, v := range src {
		dst[i] = l.table[v]
	}
}

func BenchmarkEncode(b *testing.B) {
	y := grainyLight(benchWidth)
	for name, c := range map[string]Curve{"grey": greyCurve, "rgb": olive} {
		b.Run(name, func(b *testing.B) {
			table := baked(b, c)
			dst := make([]uint16, benchWidth*table.Channels())
			perPixel(b, benchWidth, func() { table.Encode(dst, y, false) })
		})
	}
}

func BenchmarkDiffuse(b *testing.B) {
	for name, channels := range map[string]int{"grey": 1, "rgb": 3} {
		b.Run(name, func(b *testing.B) {
			d := NewDiffuser(benchWidth, 1<<30, channels)
			src, dst := grainy(benchWidth*channels), make([]uint8, benchWidth*channels)
			perPixel(b, benchWidth, func() { d.Row(dst, src) })
		})
	}
}

// BenchmarkResample counts result pixels.
func BenchmarkResample(b *testing.B) {
	for _, c := range []struct {
		name     string
		from, to int
	}{{"4000 to 3000", 4000, 3000}, {"6000 to 3600", 6000, 3600}, {"6000 to 600", 6000, 600}, {"3000 to 7200", 3000, 7200}} {
		a := newAxis(c.from, stretchOf{0, float64(c.from), c.to, 0, c.to})
		b.Run("across/"+c.name, func(b *testing.B) {
			src, dst := grainyLight(c.from), make([]float32, c.to)
			perPixel(b, c.to, func() { a.across(dst, src) })
		})
		b.Run("down/"+c.name, func(b *testing.B) {
			var rows [][]float32
			first, end := a.span(100, 101)
			for range end - first {
				rows = append(rows, grainyLight(c.to))
			}
			dst := make([]float32, c.to)
			perPixel(b, c.to, func() { a.down(dst, 100, rows, first) })
		})
	}
}
