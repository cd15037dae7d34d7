package scan

import "math"

// Steps of all tablets that we know of are 2 to 13 mm long; a window has room
// for three at least. Working values of ours.
const leastPitch = 1.5

// findSteps finds the densest step's outer edge and the distance from step to
// step in a band's profile. It reports false where no even steps are seen.
//
// Steps that print black merge with the surround and those that print paper white
// merge with each other, so edges alone do not count them. But their pitch is one,
// and the outer edge of the densest step stands out: white beside black.
func (w *window) findSteps(b band) (strip, bool) {
	p := newSums(b.profile)
	best, least := strip{}, math.Inf(1)
	for _, end := range b.ends() {
		if s, cost := p.fit(b, end); cost < least {
			best, least = s, cost
		}
	}
	best.frame, best.band, best.unevenL2 = *w, b, least
	return best, !math.IsInf(least, 1)
}

// findKnown finds the steps of a tablet of so many. Noise may make half a step fit
// a little better than a whole one: where more are seen than there are, longer
// ones are tried, and taken if they fit as well.
func (w *window) findKnown(b band, steps int) (strip, bool) {
	s, ok := w.findSteps(b)
	if !ok || s.sure <= steps {
		return s, ok
	}
	b.leastPitchMM = 0.9 * math.Abs(s.pitchMM) * float64(s.sure) / float64(steps)
	longer, ok := w.findSteps(b)
	if ok && longer.sure <= steps && longer.unevenL2 <= 1.5*s.unevenL2+noiseFloor*noiseFloor {
		return longer, true
	}
	return s, true
}

// end is where the densest step may end: a place in the profile, and the way
// from there towards the clear end, 1 or -1.
type end struct{ at, way int }

// An outer edge falls by this share of the strip's contrast, to at most the
// second share of it.
const (
	endFall    = 0.35
	endOutside = 0.25
)

// ends returns the places where the profile falls, from within the strip to the
// surround outside.
func (b *band) ends() []end {
	var out []end
	reach := max(1, int(0.4/b.stepMM))
	for _, way := range []int{1, -1} {
		fall := func(i int) float64 { return b.value(i+way*reach) - b.value(i-way*reach) }
		for i := range b.profile {
			f := fall(i)
			if f < endFall*b.differenceL || f < fall(i-1) || f <= fall(i+1) {
				continue
			}
			if b.beyond(i-way*2*reach, -way) < endOutside*b.differenceL {
				out = append(out, end{i, way})
			}
		}
	}
	return out
}

// value is the profile at i, its ends going on.
func (b *band) value(i int) float64 { return b.profile[min(max(i, 0), len(b.profile)-1)] }

// beyond is the mean of the profile from i on for 2 mm.
func (b *band) beyond(i, way int) float64 {
	n := max(1, int(2/b.stepMM))
	sum := 0.0
	for k := range n {
		sum += b.value(i + way*k)
	}
	return sum / float64(n)
}

// sums are running sums of a profile and its squares.
type sums struct{ one, two []float64 }

func newSums(profile []float64) sums {
	s := sums{make([]float64, len(profile)+1), make([]float64, len(profile)+1)}
	for i, v := range profile {
		s.one[i+1] = s.one[i] + v
		s.two[i+1] = s.two[i] + float64(v*v)
	}
	return s
}

// over returns mean and sum of squares about it of the values i to j.
func (s sums) over(i, j int) (mean, squares float64, n int) {
	i, j = max(i, 0), min(j, len(s.one)-1)
	if n = j - i; n <= 0 {
		return 0, 0, 0
	}
	sum := s.one[j] - s.one[i]
	mean = sum / float64(n)
	return mean, max(s.two[j]-s.two[i]-float64(sum*mean), 0), n
}

// inner is the share of a step's length that is looked at: light spreads under a
// tablet, and edges are soft.
const inner = 0.7

// cell returns the values of step k from an outer edge, 0 being the densest.
func (s sums) cell(from, pitch float64, way, k int) (mean, squares float64, n int) {
	return s.part(from, pitch, way, k, inner)
}

// part returns the values of the middle share of a step.
func (s sums) part(from, pitch float64, way, k int, share float64) (mean, squares float64, n int) {
	near := from + float64(way)*pitch*(float64(k)+(1-share)/2)
	far := near + float64(way)*pitch*share
	return s.over(int(math.Ceil(min(near, far))), int(math.Ceil(max(near, far))))
}

// fitted is a row of steps in a profile: the outer edge of the first, the pitch,
// and the mean square of what is left.
type fitted struct{ from, pitch, cost float64 }

// How much worse than the best a fit may be and still be looked at closely, and be
// taken: working values of ours. Below noiseFloor, L*, fits are all good.
const (
	lookedAt   = 4.0
	taken      = 2.0
	noiseFloor = 0.4
)

// fit finds the pitch of the steps from an outer edge. Pitches that are off by one
// step over the length of the steps seen fit nearly as well in their inner parts:
// so each good one is refined to whole steps. Half the right pitch fits as well as
// the right one, and twice does not: so the longest of the best is taken.
func (s sums) fit(b band, e end) (strip, float64) {
	all := s.scanPitches(b, e)
	lowest := math.Inf(1)
	for _, f := range all {
		lowest = min(lowest, f.cost)
	}
	var near []fitted
	least := math.Inf(1)
	for i, f := range all {
		bottom := (i == 0 || all[i-1].cost >= f.cost) && (i == len(all)-1 || all[i+1].cost > f.cost)
		if bottom && f.cost <= max(lookedAt*lowest, noiseFloor*noiseFloor) {
			f = s.refine(b, e, f)
			near, least = append(near, f), min(least, f.cost)
		}
	}
	for i := len(near) - 1; i >= 0; i-- {
		if near[i].cost <= taken*least {
			return s.strip(b, e, near[i].from, near[i].pitch), near[i].cost
		}
	}
	return strip{}, math.Inf(1)
}

// scanPitches tries all pitches, each with the edge where it fits best.
func (s sums) scanPitches(b band, e end) []fitted {
	var all []fitted
	for pitch := max(leastPitch, b.leastPitchMM) / b.stepMM; pitch <= float64(len(b.profile))/3; pitch *= 1.001 {
		f := fitted{cost: math.Inf(1), pitch: pitch}
		for shift := -0.3; shift <= 0.35; shift += 0.1 {
			from := float64(e.at) + 0.5 + shift/b.stepMM
			if c := s.cost(from, pitch, e.way, b.differenceL); c < f.cost {
				f.from, f.cost = from, c
			}
		}
		all = append(all, f)
	}
	return all
}

// nearlyAll is the share of a step that is looked at to place its edges.
const nearlyAll = 0.96

// refine moves edge and pitch, which the inner parts of steps leave some play, to
// where nearly whole steps are most even.
func (s sums) refine(b band, e end, f fitted) fitted {
	best := fitted{cost: math.Inf(1)}
	for p := 0.98; p <= 1.02; p += 0.001 {
		for shift := -0.5; shift <= 0.5; shift += 0.05 {
			at := fitted{from: f.from + shift/b.stepMM, pitch: f.pitch * p}
			if at.cost = s.wholeCost(at, e.way); at.cost < best.cost {
				best = at
			}
		}
	}
	return best
}

// wholeCost is the mean square of the profile about nearly whole steps.
func (s sums) wholeCost(f fitted, way int) float64 {
	squares, count := 0.0, 0
	for k := 0; ; k++ {
		_, sq, n := s.part(f.from, f.pitch, way, k, nearlyAll)
		if float64(n) < 0.5*f.pitch {
			return squares / float64(max(count, 1))
		}
		squares, count = squares+sq, count+n
	}
}

// cost is the mean square of the profile about its steps, up to the last that
// differs from the surround. It is infinite for what can be no tablet.
func (s sums) cost(from, pitch float64, way int, difference float64) float64 {
	first, _, n := s.cell(from, pitch, way, 0)
	if n == 0 || first < 0.75*difference {
		return math.Inf(1)
	}
	squares, count, levels := 0.0, 0, 0
	last := first
	for k := 0; ; k++ {
		mean, sq, n := s.cell(from, pitch, way, k)
		if n == 0 || float64(n) < 0.5*inner*pitch {
			break
		}
		if math.Abs(mean-last) > 1 {
			levels++
		}
		squares, count, last = squares+sq, count+n, mean
	}
	if levels < 2 {
		return math.Inf(1)
	}
	return squares / float64(count)
}

// strip counts the steps that differ from the surround.
func (s sums) strip(b band, e end, from, pitch float64) strip {
	out := strip{endMM: b.startMM + (from-0.5)*b.stepMM, pitchMM: float64(e.way) * pitch * b.stepMM}
	var means []float64
	least := math.Inf(1)
	for {
		mean, _, n := s.cell(from, pitch, e.way, len(means))
		if float64(n) < 0.9*inner*pitch {
			break
		}
		means, least = append(means, mean), min(least, mean)
	}
	out.room = len(means)
	for k, mean := range means {
		if mean > least+stepShows {
			out.steps = k + 1
		}
		if mean > least+stepSure {
			out.sure = k + 1
		}
	}
	return out
}

// What a step must differ from the surround by, in L*, to be told from it, and for
// it to be sure that it is no unevenness of the black: working values of ours.
const (
	stepShows = 1.0
	stepSure  = 3.0
)
