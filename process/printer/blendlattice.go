package printer

import (
	"math"
	"slices"
	"sort"
)

// latticeSize is how many values a channel has on the lattice on which ways are
// sought: 15 codes apart, finer than a model's waves, and whole.
const latticeSize = 18

// spot is a point of the lattice: how many steps of ink each channel holds.
type spot [3]int

// lattice is UV density on a lattice of the cube; the ink colour may be made to
// lie on it.
type lattice struct {
	code [3][latticeSize]float64 // of each channel, falling from 255 to 0
	uv   [latticeSize * latticeSize * latticeSize]float64
	to   spot
}

// newLattice returns the lattice with the ink colour on it.
func newLattice(m Predictor, to RGB) *lattice {
	l := &lattice{}
	for c := range 3 {
		l.code[c], l.to[c] = latticeCodes(to[c])
	}
	colours := make([]RGB, len(l.uv))
	for i := range colours {
		colours[i] = l.rgb(spotOf(i))
	}
	for i, uv := range uvDensities(m, colours) {
		l.uv[i] = math.Round(uv*1e7) / 1e7 // a last bit must not turn the way
	}
	return l
}

// latticeCodes returns even values from 255 to 0, the one nearest to a value
// moved onto it, and which that is. The ends stay: next to one, its neighbour is
// moved.
func latticeCodes(through float64) (codes [latticeSize]float64, at int) {
	const last = latticeSize - 1
	for i := range codes {
		codes[i] = 255 - 255*float64(i)/last
	}
	at = int(math.Round((255 - through) * last / 255))
	switch {
	case at == 0 && through < 255:
		at = 1
	case at == last && through > 0:
		at = last - 1
	}
	codes[at] = through
	return codes, at
}

func (p spot) index() int { return (p[0]*latticeSize+p[1])*latticeSize + p[2] }

func spotOf(i int) spot {
	return spot{i / (latticeSize * latticeSize), i / latticeSize % latticeSize, i % latticeSize}
}

func (l *lattice) rgb(p spot) RGB {
	return RGB{l.code[0][p[0]], l.code[1][p[1]], l.code[2][p[2]]}
}

// end is the UV density of the ink colour.
func (l *lattice) end() float64 { return l.uv[l.to.index()] }

// byDensity returns the points of the lattice in the order of UV density, clear
// film first.
func (l *lattice) byDensity() []int {
	all := make([]int, len(l.uv))
	for i := range all {
		all[i] = i
	}
	sort.SliceStable(all, func(i, j int) bool { return l.uv[all[i]] < l.uv[all[j]] })
	at := slices.Index(all, 0)
	copy(all[1:], all[:at])
	all[0] = 0
	return all
}

// moves are the 26 ways from a point to a neighbour: in one channel, or in
// several by as many codes each, so that a driver takes them to the next code at
// once.
var moves = func() []spot {
	var all []spot
	for d := range 27 {
		if m := (spot{d/9 - 1, d/3%3 - 1, d%3 - 1}); m != (spot{}) {
			all = append(all, m)
		}
	}
	return all
}()

// next returns the neighbour of a point; false outside the cube.
func (p spot) next(move spot) (spot, bool) {
	for c := range p {
		p[c] += move[c]
		if p[c] < 0 || p[c] >= latticeSize {
			return p, false
		}
	}
	return p, true
}

// step returns the rise of UV density over one code along a move; NaN where the
// channels would not keep step.
func (l *lattice) step(a, b spot) float64 {
	codes := 0.0
	for c := range a {
		n := math.Abs(l.code[c][a[c]] - l.code[c][b[c]])
		if n > 0 && codes > 0 && n != codes {
			return math.NaN()
		}
		codes = max(codes, n)
	}
	return (l.uv[b.index()] - l.uv[a.index()]) / codes
}
