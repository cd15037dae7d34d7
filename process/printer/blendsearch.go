package printer

import "sort"

// search is the search for a way to one ink colour.
type search struct {
	model    Predictor
	grid     *lattice
	order    []int
	options  BlendOptions
	straight Gradation
	within   float64 // UV density up to which steps count
	reach    float64 // UV density that another end than the ink colour must stop
}

func newSearch(m Predictor, to RGB, o BlendOptions) *search {
	s := &search{model: m, grid: newLattice(m, to), options: o}
	s.order = s.grid.byDensity()
	s.straight = GradationOf(m, Straight(to), s.looked())
	s.within = s.grid.end()
	if o.NeededRange > 0 {
		s.within = min(s.within, o.NeededRange)
		s.reach = o.NeededRange + min(max(s.grid.end()-o.NeededRange, 0), enoughReserve)
	}
	return s
}

// looked is the part of a path that gradations are compared on.
func (s *search) looked() GradationOptions { return GradationOptions{Range: s.options.NeededRange} }

// What the largest step of a way is to be, as a part of the straight way's: well
// below half, because a printer is never quite as its model; and by how much it
// is allowed more where that can't be had (working values of ours).
const (
	aimedStep = 0.36
	stepRatio = 1.06
)

// way returns the colours of the best way: the fewest turns with steps as small
// as are aimed at, or as small as can be. Nil where there is none that is worth
// it.
func (s *search) way() []RGB {
	for most := aimedStep; most <= worthwhile; most *= stepRatio {
		w := &ways{grid: s.grid, order: s.order, within: s.within, most: most * s.straight.LargestStep}
		w.find()
		if end, ok := s.bestEnd(w); ok {
			return w.trace(end)
		}
	}
	return nil
}

// bestEnd returns the end with the fewest turns on the way there, and of these
// the nearest.
func (s *search) bestEnd(w *ways) (int, bool) {
	type found struct {
		at, turns int
		length    float64
	}
	var all []found
	for _, at := range s.ends() {
		if turns, length, ok := w.turns(at); ok && turns <= s.options.nodes()-2 {
			all = append(all, found{at, turns, length})
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		if all[i].turns != all[j].turns {
			return all[i].turns < all[j].turns
		}
		return all[i].length < all[j].length
	})
	for _, f := range all {
		if s.surely(f.at) {
			return f.at, true
		}
	}
	return 0, false
}

// mostLoad is how much ink another end may take, as a multiple of what the ink
// colour takes, which was chosen for taking little (a working value of ours).
const mostLoad = 1.25

// ends are the points of the lattice where a way may end.
func (s *search) ends() []int {
	ends := []int{s.grid.to.index()}
	if s.options.FixedEnd || s.options.NeededRange == 0 {
		return ends
	}
	most := mostLoad * inkLoad(s.grid.rgb(s.grid.to))
	for i, uv := range s.grid.uv {
		if uv >= s.reach && i != ends[0] && inkLoad(s.grid.rgb(spotOf(i))) <= most {
			ends = append(ends, i)
		}
	}
	return ends
}

// surely says whether a colour stops what an end must, doubt taken off: the needed
// range, and as much of the usual reserve as the ink colour has. The ink colour
// itself is the user's choice.
func (s *search) surely(end int) bool {
	if end == s.grid.to.index() {
		return true
	}
	uv, sd := s.model.UVDensity(s.grid.rgb(spotOf(end)))
	return uv-float64(sure*sd) >= s.reach
}
