package tone

import "math"

// lanczosLobes is the kernel's half width in samples of the coarser grid
// (Lanczos 3: Duchon 1979, J. Appl. Meteorology 18, 1016-1022; Turkowski 1990,
// "Filters for common resampling tasks", Graphics Gems).
const lanczosLobes = 3

func lanczos(x float64) float64 {
	x = math.Abs(x)
	if x < 1e-9 {
		return 1
	}
	if x >= lanczosLobes {
		return 0
	}
	a := math.Pi * x
	return lanczosLobes * math.Sin(a) * math.Sin(a/lanczosLobes) / (a * a)
}

// axis says how one direction of a grid is resampled: which samples of the
// source make each sample of the result, and with what weights.
type axis struct {
	sources int // samples in the source
	taps    []taps
	plain   bool // a run of the source's own samples
	floats  int  // weights held, each once
}

// taps are the weights of one result sample on source samples first, first+1...
// They sum to 1. Samples of one phase may share their weights.
type taps struct {
	first   int
	weights []float32
}

// stretchOf says how a direction of a print is cut from a picture: the picture's
// samples from..to (0 is its first edge) become full samples, of which count
// are kept from first on. Cutting never moves a sample, so parts tile.
type stretchOf struct {
	from, to           float64
	full, first, count int
}

// reversed is the same when the picture's samples run the other way.
func (s stretchOf) reversed(sources int) stretchOf {
	n := float64(sources)
	return stretchOf{n - s.to, n - s.from, s.full, s.full - s.first - s.count, s.count}
}

// newAxis works out the taps. Down-scaling widens the kernel so that detail
// finer than the new grid is averaged, not folded. Beyond the source's edge its
// last sample goes on: leaving those weights out instead would pull the edge
// inwards.
func newAxis(sources int, s stretchOf) *axis {
	a := &axis{sources: sources, taps: make([]taps, s.count), plain: true}
	step := (s.to - s.from) / float64(s.full)
	phases := newPhases(s, step)
	for i := range a.taps {
		centre := s.from + float64((float64(s.first+i)+0.5)*step)
		if same := centre - 0.5; step == 1 && same == math.Trunc(same) {
			a.taps[i] = taps{int(same), justOne}
			continue
		}
		a.plain = false
		if t, ok := phases.at(s.first+i, sources); ok {
			a.taps[i] = t
			continue
		}
		a.taps[i] = tapsAt(centre, max(step, 1), sources)
		a.floats += len(a.taps[i].weights)
	}
	a.floats += phases.floats
	return a
}

var justOne = []float32{1}

// bytes is the memory that the axis takes: 32 bytes a result sample, and the
// weights, 24 to 32 bytes more (and as many times more as the picture is made
// smaller) unless few phases share them all.
func (a *axis) bytes() int64 { return 32*int64(len(a.taps)) + 4*int64(a.floats) }

func tapsAt(centre, widen float64, sources int) taps {
	reach := lanczosLobes * widen
	from, to := int(math.Floor(centre-reach)), int(math.Ceil(centre+reach))
	first, last := clampTo(from, sources), clampTo(to, sources)
	weights := make([]float64, last-first+1)
	sum := 0.0
	for k := from; k <= to; k++ {
		w := lanczos((float64(k) + 0.5 - centre) / widen)
		weights[clampTo(k, sources)-first] += w
		sum += w
	}
	t := taps{first: first, weights: make([]float32, len(weights))}
	for k, w := range weights {
		t.weights[k] = float32(w / sum)
	}
	return t.trimmed()
}

func clampTo(k, sources int) int { return min(max(k, 0), sources-1) }

// trimmed drops the zero weights at both ends.
func (t taps) trimmed() taps {
	for len(t.weights) > 1 && t.weights[0] == 0 {
		t.first, t.weights = t.first+1, t.weights[1:]
	}
	for len(t.weights) > 1 && t.weights[len(t.weights)-1] == 0 {
		t.weights = t.weights[:len(t.weights)-1]
	}
	return t
}

// end is one past the last source sample of result sample i.
func (a *axis) end(i int) int { return a.taps[i].first + len(a.taps[i].weights) }

// span returns the source samples first..end that result samples from..to need.
func (a *axis) span(from, to int) (first, end int) {
	first, end = a.taps[from].first, a.end(from)
	for i := from + 1; i < to; i++ {
		first, end = min(first, a.taps[i].first), max(end, a.end(i))
	}
	return first, end
}
