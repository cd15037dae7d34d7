package darkroom

import (
	"math"
	"math/rand/v2"
)

// Coating is how the brush left the sensitiser. It differs from print to print,
// by the print's own seed. The zero value is even and covers the paper.
type Coating struct {
	// Most is the largest change of net density anywhere over the film, as a
	// share of it, either way, about a mean of zero.
	Most float64
	// Ragged is set where the coating ends before the paper does.
	Ragged bool
	// EdgeMM is how far past the film the coating ends on average; below zero it
	// ends inside the film. RaggedMM is how far the end wanders from there.
	EdgeMM, RaggedMM float64
}

const coatingStepMM = 2

// wave is a sinusoid across the sheet.
type wave struct{ alongX, alongY, phase, size float64 }

func (w wave) at(x, y float64) float64 {
	return w.size * math.Sin(w.alongX*x+w.alongY*y+w.phase)
}

// newWave runs nearly in direction (radians).
func newWave(rng *rand.Rand, direction, lengthMM, size float64) wave {
	direction += between(rng, -0.2, 0.2)
	k := 2 * math.Pi / lengthMM
	return wave{k * math.Cos(direction), k * math.Sin(direction), between(rng, 0, 2*math.Pi), size}
}

// weight returns the share by which net density departs over a sheet that
// reaches beyondMM past the film: long streaks of the brush, a longer sag across
// them and short streaks between.
func (c Coating) weight(seed uint64, widthMM, heightMM, beyondMM float64) *field {
	rng := Random(seed, 2002)
	long := max(widthMM, heightMM)
	brush := float64(rng.IntN(2)) * math.Pi / 2
	waves := []wave{
		newWave(rng, brush, long*between(rng, 1.2, 2.5), 1),
		newWave(rng, brush, long*between(rng, 0.6, 1.2), between(rng, 0.2, 0.5)),
		newWave(rng, brush+math.Pi/2, long*between(rng, 0.9, 2.5), between(rng, 0.2, 0.7)),
		newWave(rng, brush, between(rng, 12, 25), between(rng, 0.02, 0.12)),
	}
	f := newField(widthMM, heightMM, coatingStepMM, func(x, y float64) float64 {
		v := 0.0
		for _, w := range waves {
			v += w.at(x, y)
		}
		return v
	})
	f.level(beyondMM, c.Most)
	return f
}

// brushEdge is where the coating ends: how many millimetres in from each side
// of the paper, pixel by pixel along that side.
type brushEdge struct {
	left, right, top, bottom []float64
	pixelMM                  float64
}

// thinsMM is over how much the coating runs out at its end.
const thinsMM = 0.8

func (c Coating) edge(seed uint64, width, height int, pixelMM, beyondMM float64) *brushEdge {
	if !c.Ragged {
		return nil
	}
	e := &brushEdge{pixelMM: pixelMM}
	side := func(n int, stream uint64) []float64 {
		return c.side(Random(seed, 2100+stream), n, pixelMM, beyondMM-c.EdgeMM)
	}
	e.left, e.right = side(height, 0), side(height, 1)
	e.top, e.bottom = side(width, 2), side(width, 3)
	return e
}

// side is one side's end: slow swings of the hand and, finer, bristles.
func (c Coating) side(rng *rand.Rand, n int, pixelMM, meanMM float64) []float64 {
	swings := []wave{newWave(rng, 0, between(rng, 60, 150), 0.5), newWave(rng, 0, between(rng, 20, 50), 0.3)}
	line := make([]float64, n)
	bristle, left := 0.0, 0.0
	for i := range line {
		if left <= 0 {
			bristle, left = between(rng, -0.3, 0.3), between(rng, 0.5, 2.5)
		}
		left -= pixelMM
		x := float64(i) * pixelMM
		line[i] = meanMM + c.RaggedMM*(swings[0].at(x, 0)+swings[1].at(x, 0)+bristle)
	}
	return line
}

// row fills out with how far the coating covers each pixel of row y: 0 bare
// paper, 1 coated. It returns false, and leaves out alone, where all is coated.
func (e *brushEdge) row(out []float64, y int) bool {
	if e == nil {
		return false
	}
	height := len(e.left)
	fromTop, fromBottom := (float64(y)+0.5)*e.pixelMM, (float64(height-y)-0.5)*e.pixelMM
	for x := range out {
		fromLeft, fromRight := (float64(x)+0.5)*e.pixelMM, (float64(len(out)-x)-0.5)*e.pixelMM
		in := min(fromLeft-e.left[y], fromRight-e.right[y], fromTop-e.top[x], fromBottom-e.bottom[x])
		out[x] = min(max(in/thinsMM, 0), 1)
	}
	return true
}
