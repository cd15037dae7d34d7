package tone

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

// scales of the tests: what pictures are made to, printer resolution and strong
// reduction among them.
var scales = []stretchOf{
	{0, 400, 300, 0, 300}, {0, 400, 960, 0, 960}, {0, 400, 60, 0, 60}, {0, 400, 9, 0, 9},
	{0, 4000, 3000, 700, 200}, {0, 300, 5760, 2000, 500}, {17, 217, 300, 0, 300},
	{3.25, 391.7, 500, 0, 500}, {0, 397, 401, 0, 401}, {100, 300, 100, 0, 100}, {0, 7, 20, 0, 20}, {0, 1, 5, 0, 5},
}

// across and down are within 1 of 65535 of the double-precision sum of Lanczos
// weights over a noisy row, straight from the kernel's definition.
func TestMixAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for _, s := range scales {
		sources := int(math.Ceil(s.to))
		row, rows := make([]float32, sources), make([][]float32, sources)
		for i := range row {
			row[i] = float32(r.Float64())
			rows[i] = []float32{row[i], 1 - row[i], 1, 0, row[i]}
		}
		a := newAxis(sources, s)
		got := make([]float32, s.count)
		a.across(got, row)
		for i := 0; i < s.count; i += 7 {
			want := 0.0
			for k, w := range directWeights(s.first+i, s.full, s.from, s.to, sources) {
				want += w * float64(row[k])
			}
			checkNear(t, s, i, got[i], want)
			below := make([]float32, 5)
			a.down(below, i, rows, 0)
			for x, w := range []float64{want, 1 - want, 1, 0, want} {
				checkNear(t, s, i, below[x], min(max(w, 0), 1))
			}
		}
	}
}

func checkNear(t *testing.T, s stretchOf, i int, got float32, want float64) {
	t.Helper()
	if math.Abs(float64(got)-want) > 1.0/65535 {
		t.Fatalf("%v, sample %d: %.7f, want %.7f", s, i, got, want)
	}
}

// Weights that phases share are those that each sample would get alone, and a
// part's are the whole's.
func TestPhasesShareWeights(t *testing.T) {
	shared := 0
	for _, s := range scales {
		sources := int(math.Ceil(s.to))
		a := newAxis(sources, s)
		if a.floats < s.count {
			shared++
		}
		step := (s.to - s.from) / float64(s.full)
		for i, got := range a.taps {
			centre := s.from + (float64(s.first+i)+0.5)*step
			alone := tapsAt(centre, max(step, 1), sources)
			for k := range sources {
				if g, w := weightOn(got, k), weightOn(alone, k); math.Abs(g-w) > 2e-7 {
					t.Fatalf("%v, sample %d: weight %g on %d, want %g", s, i, g, k, w)
				}
			}
		}
	}
	if shared < 4 {
		t.Errorf("%d scales share weights, expected whole ratios to", shared)
	}
	whole := newAxis(400, stretchOf{0, 400, 300, 0, 300})
	part := newAxis(400, stretchOf{0, 400, 300, 111, 50})
	for i := range part.taps {
		if a, b := whole.taps[111+i], part.taps[i]; a.first != b.first || a.weights[0] != b.weights[0] {
			t.Fatalf("part: sample %d is %v, the whole has %v", i, b, a)
		}
	}
}

func weightOn(t taps, k int) float64 {
	if k < t.first || k >= t.first+len(t.weights) {
		return 0
	}
	return float64(t.weights[k-t.first])
}

// ImageMagick's Lanczos filter, which is the same three-lobed kernel, gives the
// same rows but at the edges, where it leaves out what lies beyond: within 2 of
// 65535, for it rounds to 16 bits.
func TestAcrossAgainstImageMagick(t *testing.T) {
	const width = 400
	r := rand.New(rand.NewPCG(11, 3))
	row, pgm := make([]float32, width), []byte(fmt.Sprintf("P5 %d 1 65535\n", width))
	for i := range row {
		v := 15000 + r.IntN(35000)
		row[i] = float32(v) / 65535
		pgm = append(pgm, byte(v>>8), byte(v))
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.pgm"), filepath.Join(dir, "out.pgm")
	if err := os.WriteFile(in, pgm, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, to := range []int{300, 217, 60, 960, 1439} {
		outside.Run(t, "convert", "imagemagick", in, "-filter", "Lanczos", "-resize", fmt.Sprintf("%dx1!", to), "-depth", "16", out)
		want := samplesOf(t, out, to)
		got := make([]float32, to)
		newAxis(width, stretchOf{0, width, to, 0, to}).across(got, row)
		edge := 1 + 3*max(to, width)/width
		for i := edge; i < to-edge; i++ {
			if math.Abs(float64(got[i])*65535-want[i]) > 2 {
				t.Errorf("to %d, sample %d: %.2f, ImageMagick has %g", to, i, got[i]*65535, want[i])
			}
		}
	}
}

// samplesOf reads the last samples of a 16-bit PGM.
func samplesOf(t *testing.T, file string, count int) []float64 {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil || !bytes.HasPrefix(data, []byte("P5")) || len(data) < 2*count {
		t.Fatalf("%s: %v, %d bytes", file, err, len(data))
	}
	data = data[len(data)-2*count:]
	v := make([]float64, count)
	for i := range v {
		v[i] = float64(int(data[2*i])<<8 | int(data[2*i+1]))
	}
	return v
}
