package calibration

import (
	"math"
	"math/rand/v2"

	"actinic/process/measure"
)

// unevenScene is a scene printed on a sheet that is not even: where the patches lie,
// and what the place does to light and coating. Light falls off as the cosine
// law has it, and the coating lies in waves: neither is a polynomial.
type unevenScene struct {
	scene
	inOrder bool    // patches by ink level, row by row: not scattered
	light   float64 // log exposure, at most, off its mean over the patches
	coating float64 // log net density, the same
	lamp    uint64  // seed of the light; 0 for the print's own
	mottle  float64 // L*, of which no reading knows
	stated  bool    // each reading has a noise of its own, 0.1 to 0.4 L*, and states it
	turned  bool    // the sheet lay turned under the lamp
}

// The patches' grid, in millimetres, and the tablet's strip below it.
const (
	columns, rows = 9, 10
	pitchMM       = 20.0
	firstMM       = 17.0
	stripMM       = 235.0
	stepMM        = 6.2
)

type spot struct{ x, y float64 }

func cell(i int) spot {
	return spot{firstMM + pitchMM*float64(i%columns), firstMM + pitchMM*float64(i/columns)}
}

// cells returns the ink level of every cell: clear film and full ink in each
// corner, each level once in the upper half and once in the lower, or in order.
func (a unevenScene) cells(rng *rand.Rand) []float64 {
	inks := make([]float64, columns*rows)
	corner := map[int]float64{0: 0, 1: 100, columns - 2: 100, columns - 1: 0,
		columns * (rows - 1): 100, columns*(rows-1) + 1: 0, columns*rows - 2: 0, columns*rows - 1: 100}
	var free []int
	for i := range inks {
		if ink, ok := corner[i]; ok {
			inks[i] = ink
		} else {
			free = append(free, i)
		}
	}
	levels := len(free) / 2
	for half := range 2 {
		order := rng.Perm(levels)
		for k := range levels {
			at := k + half*levels
			level := order[k]
			if a.inOrder {
				level = at / 2
			}
			inks[free[at]] = 100 * float64(level) / float64(levels-1)
		}
	}
	return inks
}

// falloff is log exposure under a small lamp at a height above some place of the
// sheet: the cosine to the fourth, log10, off its mean over the patches, scaled.
func falloff(rng *rand.Rand, most float64) func(spot) float64 {
	cx, cy, height := 40+120*rng.Float64(), 40+150*rng.Float64(), 150+200*rng.Float64()
	return scaled(most, func(p spot) float64 {
		return -2 * math.Log10(1+(math.Pow(p.x-cx, 2)+math.Pow(p.y-cy, 2))/(height*height))
	})
}

// waves is the weight of a coating: three waves in any direction, from once to
// twice and a half the sheet's length.
func waves(rng *rand.Rand, most float64) func(spot) float64 {
	type wave struct{ kx, ky, phase float64 }
	var ws []wave
	for range 3 {
		k, way := 2*math.Pi/(200+350*rng.Float64()), 2*math.Pi*rng.Float64()
		ws = append(ws, wave{k * math.Cos(way), k * math.Sin(way), 2 * math.Pi * rng.Float64()})
	}
	return scaled(most, func(p spot) float64 {
		v := 0.0
		for _, w := range ws {
			v += math.Sin(w.kx*p.x + w.ky*p.y + w.phase)
		}
		return v
	})
}

// scaled takes off the mean over the cells and scales the largest to most.
func scaled(most float64, f func(spot) float64) func(spot) float64 {
	mean, largest := 0.0, 0.0
	for i := range columns * rows {
		mean += f(cell(i)) / (columns * rows)
	}
	for i := range columns * rows {
		largest = math.Max(largest, math.Abs(f(cell(i))-mean))
	}
	return func(p spot) float64 { return most * (f(p) - mean) / largest }
}

// print prints and reads the scene with a seed.
func (a unevenScene) print(seed uint64) Print {
	rng := rand.New(rand.NewPCG(seed, 177))
	lampRNG := rng
	if a.lamp != 0 {
		lampRNG = rand.New(rand.NewPCG(a.lamp, 178))
	}
	light, coat := falloff(lampRNG, a.light), waves(rng, a.coating)
	inks := a.cells(rng)
	p := a.scene.print(seed)
	p.Ramp.Readings = nil
	at := func(s scene, q spot) scene {
		lit := q
		if a.turned {
			lit = spot{2*firstMM + pitchMM*(columns-1) - q.x, 2*firstMM + pitchMM*(rows-1) - q.y}
		}
		s.exposure += light(lit)
		s.paper.net *= math.Exp(coat(q))
		return s
	}
	for i, ink := range inks {
		q := cell(i)
		s := at(a.scene, q)
		r := a.noisy(rng, s, cellName(i), s.uv(ink/100))
		r.Ink, r.XMM, r.YMM = ink, q.x, q.y
		p.Ramp.Readings = append(p.Ramp.Readings, r)
	}
	if p.Tablet != nil {
		p.Tablet = altered(p.Tablet, func(r *measure.Reading, i int) {
			q := spot{firstMM + stepMM*float64(i), stripMM}
			*r = a.noisy(rng, at(a.scene, q), r.ID, float64(r.Tablet))
			r.Tablet = p.Tablet.Readings[i].Tablet
			r.XMM, r.YMM = q.x, q.y
		})
	}
	return p
}

// noisy reads a patch of s with its own noise and the paper's.
func (a unevenScene) noisy(rng *rand.Rand, s scene, id string, uv float64) measure.Reading {
	sd := math.NaN()
	if a.stated {
		s.noise = 0.1 * math.Pow(4, rng.Float64())
		sd = s.noise
	}
	s.noise = math.Hypot(s.noise, a.mottle)
	r := s.read(rng, id, uv)
	r.SD = sd
	return r
}

func cellName(i int) string { return string(rune('A'+i/columns)) + string(rune('1'+i%columns)) }
