package tone

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"actinic/process/density"
)

// Rows made in one go are the rows made through luminance, in every way that
// Pixels has.
func TestPixelsAreRowThenEncode(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	matrix := newLutLight()
	sources := map[string]struct {
		lum      Luminance
		channels int
	}{
		"grey": {srgbLight{1}, 1}, "rgb": {srgbLight{3}, 3}, "matrix": {matrix, 3},
		"beyond white": {lutLight{matrix[1], matrix[1], matrix[1]}, 3}, // sums to 2.1
	}
	for name, s := range sources {
		for _, c := range []Curve{greyCurve, olive, kinkyCurve} {
			table := film(t, c)
			for way := range 8 {
				o := PixelOptions{way&1 > 0, way&2 > 0, way&4 > 0}
				for _, width := range []int{0, 1, 2, 255, 256, 257, 700} {
					src := make([]uint16, width*s.channels)
					for i := range src {
						src[i] = uint16(r.Uint32())
					}
					want := throughLight(table, s.lum, s.channels, o, src)
					got := make([]uint16, len(want))
					table.Pixels(s.lum, s.channels, o).Row(got, slices.Clone(src))
					if !slices.Equal(got, want) {
						t.Fatalf("%s, %T, %+v, width %d: %v, want %v", name, c, o, width, got, want)
					}
				}
			}
		}
	}
}

// throughLight makes a row of codes the long way.
func throughLight(table *InkTable, lum Luminance, channels int, o PixelOptions, src []uint16) []uint16 {
	src = slices.Clone(src)
	for i := range src {
		if o.InputNegative {
			src[i] = 65535 - src[i]
		}
	}
	y := make([]float32, len(src)/channels)
	lum.Row(y, src)
	if o.Mirror {
		slices.Reverse(y)
	}
	dst := make([]uint16, len(y)*table.Channels())
	table.Encode(dst, y, o.Positive)
	return dst
}

// Every luminance of a wide sample, in cells straight, bent and written out,
// comes within 1 of 65535 of the curve at the tone of CIE 15:2018 (as
// density.Reflectance.Lightness, which has tests against published values).
func TestEveryStepIsOnTheCurve(t *testing.T) {
	sawtooth := nodesCurve{{0, 0}}
	for i := 1; i <= 400; i++ { // kinks everywhere, 0 to 2 times the mean slope
		sawtooth = append(sawtooth, [2]float64{float64(i) / 4, sawtooth[i-1][1] + 0.5*float64(i%2)})
	}
	for name, c := range map[string]Curve{"kinks": kinkyCurve, "root": fakeCurve{power: 0.5},
		"late": fakeCurve{power: 6}, "colour": olive, "sawtooth": sawtooth} {
		table := film(t, c)
		y, got := make([]float32, 1), make([]uint16, 3)
		for step := uint32(0); step < lumaWhite; step += 397 {
			y[0] = float32(float64(math.Float32frombits(lumaOrigin+step)) - lumaFloor)
			for _, positive := range []bool{false, true} {
				tone := float64(density.Reflectance(y[0]).Lightness())
				if positive {
					tone = 100 - tone
				}
				want := c.Device(c.Ink(tone))
				table.Encode(got[:table.Channels()], y, positive)
				for ch := range table.Channels() {
					if math.Abs(float64(got[ch])-want[ch]*65535) > 1 {
						t.Fatalf("%s, step %d (Y %g), channel %d, positive %v: %d, want %.2f", name, step, y[0], ch, positive, got[ch], want[ch]*65535)
					}
				}
			}
		}
	}
}

// A table is small unless the curve is all corners, and bounded then.
func TestInkTableMemory(t *testing.T) {
	for _, c := range []struct {
		curve Curve
		most  int // bytes
	}{{greyCurve, 50e3}, {kinkyCurve, 150e3}, {olive, 350e3}, {fakeCurve{power: 0.5}, 500e3}} {
		k := film(t, c.curve).forward
		bytes := 8*len(k.cells) + 8*fineCells*len(k.fine) + 2<<fineBits*len(k.exact)
		if bytes > c.most {
			t.Errorf("%v: %d bytes (%d fine, %d exact), want %d at most", c.curve, bytes, len(k.fine), len(k.exact), c.most)
		}
	}
}

func ExampleInkTable_Pixels() {
	table, _ := Bake(fakeCurve{power: 1})
	p := table.Pixels(srgbLight{1}, 1, PixelOptions{Mirror: true})
	codes := make([]uint16, 2)
	p.Row(codes, []uint16{0, 65535}) // black, white
	fmt.Println(codes)               // full ink for white comes first
	// Output: [0 65535]
}

// Any curve that only rises, however it bends: within 1 of 65535 of itself, and
// it never turns back from one luminance to the next.
func TestAnyCurveIsMetAndKeepsItsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := nodesCurve{{0, 0}}
		for c[len(c)-1][0] < 99 {
			last := c[len(c)-1]
			wide := rapid.Float64Range(0.01, 30).Draw(t, "wide")
			high := rapid.Float64Range(0, 1).Draw(t, "high") * (100 - last[1]) / 2
			c = append(c, [2]float64{min(last[0]+wide, 100), last[1] + high})
		}
		c = append(c, [2]float64{101, 100})
		table, err := Bake(c)
		if err != nil {
			t.Fatal(err)
		}
		first := rapid.Uint32Range(0, lumaWhite-3000).Draw(t, "first")
		y, codes := make([]float32, 3000), make([]uint16, 3000)
		for i := range y {
			y[i] = float32(float64(math.Float32frombits(lumaOrigin+first+uint32(i))) - lumaFloor)
		}
		table.Encode(codes, y, false)
		for i, code := range codes {
			want := c.Device(c.Ink(float64(density.Reflectance(y[i]).Lightness())))[0] * 65535
			if math.Abs(float64(code)-want) > 1 || i > 0 && code > codes[i-1] {
				t.Fatalf("%v, Y %g: %d, want %.2f and no more than before", c, y[i], code, want)
			}
		}
	})
}
