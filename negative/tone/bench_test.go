package tone

import (
	"context"
	"fmt"
	"testing"

	"actinic/negative/raster"
)

// repeated hands out one row again and again: a picture of any size, no decoder.
type repeated struct {
	header raster.Header
	line   []uint16
	row    int
}

func (p *repeated) Header() raster.Header { return p.header }

func (p *repeated) ReadRows(_ context.Context, dst [][]uint16) (int, error) {
	n := min(len(dst), p.header.Height-p.row)
	for _, row := range dst[:n] {
		copy(row, p.line)
	}
	p.row += n
	return n, nil
}

func (p *repeated) Restart() error { p.row = 0; return nil }
func (p *repeated) Close() error   { return nil }

// lutLight is luminance by a table a channel, as a profile would bake it.
type lutLight [3][]float32

func newLutLight() lutLight {
	var l lutLight
	for ch, part := range []float64{0.2126390059, 0.7151686788, 0.07219231536} {
		l[ch] = make([]float32, 65536)
		for v := range l[ch] {
			l[ch][v] = float32(part * decode(uint16(v)))
		}
	}
	return l
}

func (l lutLight) Row(dst []float32, src []uint16) {
	for i := range dst {
		dst[i] = l[0][src[3*i]] + l[1][src[3*i+1]] + l[2][src[3*i+2]]
	}
}

type nowhere struct{}

func (nowhere) WriteRows(context.Context, [][]uint16) error { return nil }
func (nowhere) Commit() error                               { return nil }
func (nowhere) Abort()                                      {}

// BenchmarkFilm makes films of a 24 megapixel RGB picture held in memory; MP/s
// counts the picture's pixels.
func BenchmarkFilm(b *testing.B) {
	h := raster.Header{Width: 6000, Height: 4000, Channels: 3, Bits: 16, Orientation: 1}
	line := newPicture(raster.Header{Width: 6000, Height: 1, Channels: 3}, noise).pix
	light := newLutLight()
	cases := []struct {
		name string
		c    Curve
		o    Options
	}{
		{"grey16", greyCurve, Options{}}, {"rgb16", olive, Options{}}, {"grey8", greyCurve, Options{Depth: 8}},
		{"rgb8", olive, Options{Depth: 8}}, {"resampled", greyCurve, Options{WidthMM: 254, PPI: 360}},
		{"enlarged", greyCurve, Options{WidthMM: 508, PPI: 360}},
	}
	for _, c := range cases {
		table, err := Bake(c.c)
		if err != nil {
			b.Fatal(err)
		}
		for _, jobs := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/jobs%d", c.name, jobs), func(b *testing.B) {
				for b.Loop() {
					f, err := Negative(&repeated{header: h, line: line}, light, table, c.o, jobs)
					if err != nil {
						b.Fatal(err)
					}
					if err := f.Run(b.Context(), nowhere{}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(24*float64(b.N)/b.Elapsed().Seconds(), "MP/s")
			})
		}
	}
}

func BenchmarkBake(b *testing.B) {
	for b.Loop() {
		if _, err := Bake(olive); err != nil {
			b.Fatal(err)
		}
	}
}
