package printer

import (
	"math"
	"slices"
)

// Level is one printable level of a path: the colour that reaches the printer,
// the film ink at the middle of it, and what it stops.
type Level struct {
	Percent   float64
	RGB       RGB
	UVDensity float64 // log10
}

// Gradation says how finely a path is graded once every channel is rounded to
// whole codes, as drivers do. UV densities are log10.
type Gradation struct {
	Range          float64 `json:"range_uv_density"` // that the figures hold for, from clear film
	Levels         int     `json:"levels"`           // distinct printable levels in that range, clear film among them
	LevelsPerTenth float64 `json:"levels_per_tenth_density"`
	FewestInTenth  int     `json:"fewest_levels_in_a_tenth"`
	LargestStep    float64 `json:"largest_step_uv_density"` // between neighbours
	LargestStepAt  float64 `json:"largest_step_at_uv_density"`
	LargestFall    float64 `json:"largest_fall_uv_density"` // 0 where UV density never falls
	Rises          bool    `json:"rises"`                   // everywhere, but for falls too small to see
}

// GradationOptions says what of a path is looked at.
type GradationOptions struct {
	Depth int     // bits a channel that the driver works with, 1 to 16; 0 is 8
	Range float64 // UV density up to which the path matters; 0 is all of it
}

// usualDepth is what drivers take as a rule (common practice, from memory).
const usualDepth = 8

// mostDepth keeps the levels of a path countable.
const mostDepth = 16

// seenFall is a fall of UV density that no print shows: half of a just visible
// step where prints are most sensitive, some 0.002 (a working value of ours).
const seenFall = 0.001

// GradationOf returns how finely the path is graded, as m tells it. It panics on
// a path of fewer than two nodes or a depth that is none.
func GradationOf(m Predictor, p Path, o GradationOptions) Gradation {
	return gradationOf(LevelsOf(m, p, o), o.Range)
}

// LevelsOf returns the printable levels of a path up to the range that matters,
// from clear film on. Levels that take less than one code of a 16-bit negative
// are left out, because no picture meets them.
func LevelsOf(m Predictor, p Path, o GradationOptions) []Level {
	levels := printable(p, o.Depth)
	colours := make([]RGB, len(levels))
	for i, l := range levels {
		colours[i] = l.RGB
	}
	for i, uv := range uvDensities(m, colours) {
		levels[i].UVDensity = uv
	}
	if o.Range > 0 {
		for i, l := range levels {
			if l.UVDensity >= o.Range {
				return levels[:i+1]
			}
		}
	}
	return levels
}

// finestInk is one code of a 16-bit negative, in per cent of film ink.
const finestInk = 100.0 / 65535

// printable returns the levels of a path without their UV densities.
func printable(p Path, depth int) []Level {
	codes := codesOf(depth)
	bounds := []float64{0, 100}
	for i := 1; i < len(p); i++ {
		for c := range 3 {
			bounds = append(bounds, turns(p[i-1], p[i], c, codes)...)
		}
	}
	slices.Sort(bounds)
	var levels []Level
	for i := 1; i < len(bounds); i++ {
		from, to := bounds[i-1], bounds[i]
		atEnd := len(levels) == 0 || to == 100
		if to-from < finestInk && !atEnd {
			continue
		}
		middle := (from + to) / 2
		rgb := rounded(p.At(middle), codes)
		if n := len(levels); n == 0 || levels[n-1].RGB != rgb {
			levels = append(levels, Level{Percent: middle, RGB: rgb})
		}
	}
	return levels
}

// codesOf is the highest code of a depth.
func codesOf(depth int) float64 {
	if depth == 0 {
		depth = usualDepth
	}
	if depth < 1 || depth > mostDepth {
		panic("printer: a depth of less than 1 or more than 16 bits")
	}
	return float64(int(1)<<depth - 1)
}

// turns returns the film inks between two nodes at which one channel passes from
// one code to the next.
func turns(a, b Node, channel int, codes float64) []float64 {
	from, to := a.RGB()[channel]*codes/255, b.RGB()[channel]*codes/255
	if from == to {
		return nil
	}
	low, high := min(from, to), max(from, to)
	var out []float64
	for half := math.Ceil(low-0.5) + 0.5; half < high; half++ {
		t := (half - from) / (to - from)
		out = append(out, a.Percent+float64(t*(b.Percent-a.Percent)))
	}
	return out
}

// rounded is the colour that a driver makes of another.
func rounded(c RGB, codes float64) RGB {
	for i, v := range c {
		c[i] = math.Round(v*codes/255) * 255 / codes
	}
	return c
}

func gradationOf(levels []Level, within float64) Gradation {
	g := Gradation{Levels: len(levels)}
	highest := 0.0
	for i, l := range levels {
		g.Range = max(g.Range, l.UVDensity)
		if i == 0 {
			continue
		}
		if step := l.UVDensity - levels[i-1].UVDensity; step > g.LargestStep {
			g.LargestStep, g.LargestStepAt = step, levels[i-1].UVDensity
		}
		g.LargestFall = max(g.LargestFall, highest-l.UVDensity)
		highest = max(highest, l.UVDensity)
	}
	if within > 0 {
		g.Range = min(g.Range, within)
	}
	g.Rises = g.LargestFall <= seenFall
	if g.Range > 0 {
		g.LevelsPerTenth = float64(len(levels)) / g.Range / 10
	}
	g.FewestInTenth = fewestInTenth(levels, g.Range)
	return g
}

// fewestInTenth is the least number of levels in any tenth of density of the
// range; all of them where the range is shorter.
func fewestInTenth(levels []Level, within float64) int {
	const tenths = 10
	n := int(within * tenths)
	if n == 0 {
		return len(levels)
	}
	counts := make([]int, n)
	for _, l := range levels {
		if i := int(math.Floor(l.UVDensity * tenths)); i >= 0 && i < n {
			counts[i]++
		}
	}
	return slices.Min(counts)
}

// meanPredictor is a Predictor that tells many UV densities at once, without
// their doubt, faster. A Model is one.
type meanPredictor interface {
	UVDensities(colours []RGB) []float64
}

// uvDensities returns the UV densities of colours.
func uvDensities(m Predictor, colours []RGB) []float64 {
	if fast, ok := m.(meanPredictor); ok {
		return fast.UVDensities(colours)
	}
	out := make([]float64, len(colours))
	for i, c := range colours {
		out[i], _ = m.UVDensity(c)
	}
	return out
}
