package scan

import (
	"math"
	"slices"
)

// band is where a strip lies in the picture of its window.
type band struct {
	turn        float64 // clockwise in the frame, radians
	topMM       float64 // its long edges, mm across from the frame's middle, in
	baseMM      float64 // the strip's own directions
	profile     []float64
	startMM     float64 // of the profile's first value along the band
	stepMM      float64
	differenceL float64 // the most that the profile differs from the surround, L*
	// leastPitchMM is what steps measure at least; 0 for the least of all tablets.
	leastPitchMM float64
}

// How far a strip may be turned by hand, and how finely turns are tried: working
// values of ours. A quarter of a degree is 0.07 mm over a strip 15 mm wide.
const (
	mostTurn   = 4.0 // degrees
	coarseTurn = 0.25
	fineTurn   = 0.05
)

// leastDifference is what the print of a tablet differs from the clear film
// around it by at its densest step, in L*: below, the window is taken as empty.
const leastDifference = 6.0

// findBand finds the strip in a window whose surround, clear film, prints as L*
// surround. It reports false where nothing lies in the window.
func (w *window) findBand(surround float64) (band, bool) {
	best, most := 0.0, -1.0
	for turn := -mostTurn; turn <= mostTurn; turn += coarseTurn {
		if e := w.edgeStrength(turn, surround); e > most {
			best, most = turn, e
		}
	}
	coarse := best
	for turn := coarse - coarseTurn; turn <= coarse+coarseTurn; turn += fineTurn {
		if e := w.edgeStrength(turn, surround); e > most {
			best, most = turn, e
		}
	}
	t := w.turned(best*math.Pi/180, 0.3)
	b, ok := t.band(surround)
	if !ok {
		return b, false
	}
	w.takeProfile(&b, t.beside(b, surround))
	return b, b.differenceL >= leastDifference
}

// beside returns L* of the film on both sides of a band: black is not the same
// all over a print. Where the strip leaves less than 2 mm it is surround.
func (t *turned) beside(b band, surround float64) float64 {
	var film []float64
	for j := range t.rows {
		v := t.acrossOf(j)
		if v > b.topMM-1 && v < b.baseMM+1 {
			continue
		}
		for i := 0; i < t.cols; i += 3 {
			if l, ok := t.at(float64(t.along(i)*t.cos)-float64(v*t.sin), float64(t.along(i)*t.sin)+float64(v*t.cos)); ok {
				film = append(film, l)
			}
		}
	}
	if float64(len(film)) < 2/t.acrossStepMM*float64(t.cols)/3 {
		return surround
	}
	return median(film)
}

// turned samples a window along axes that are turned clockwise.
type turned struct {
	*window
	turn, sin, cos float64
	acrossStepMM   float64
	cols, rows     int
}

func (w *window) turned(turn, acrossStepMM float64) turned {
	sin, cos := math.Sincos(turn)
	return turned{w, turn, sin, cos, acrossStepMM, w.cols, int(w.acrossMM / acrossStepMM)}
}

// acrossOf returns the place of row j across the turned axes, mm.
func (t *turned) acrossOf(j int) float64 {
	return (float64(j) + 0.5 - float64(t.rows)/2) * t.acrossStepMM
}

// sample returns what a place along and across the turned axes differs from the
// surround by; false outside the window.
func (t *turned) sample(alongMM, acrossMM, surround float64) (float64, bool) {
	l, ok := t.at(float64(alongMM*t.cos)-float64(acrossMM*t.sin), float64(alongMM*t.sin)+float64(acrossMM*t.cos))
	return math.Abs(l - surround), ok
}

// rowMeans returns the mean difference from the surround of each row, 0 where
// less than half of it is in the window.
func (t *turned) rowMeans(surround float64) []float64 {
	means := make([]float64, t.rows)
	for j := range means {
		sum, n := 0.0, 0
		for i := 0; i < t.cols; i += 3 {
			if d, ok := t.sample(t.along(i), t.acrossOf(j), surround); ok {
				sum += d
				n++
			}
		}
		if 6*n >= t.cols {
			means[j] = sum / float64(n)
		}
	}
	return means
}

// band finds the rows of the strip: the run around the most different row whose
// rows differ half as much.
func (t *turned) band(surround float64) (band, bool) {
	b := band{turn: t.turn}
	means := t.rowMeans(surround)
	if len(means) == 0 {
		return b, false
	}
	peak := slices.Index(means, slices.Max(means))
	limit := means[peak] / 2
	if limit <= 0 {
		return b, false
	}
	low, high := peak, peak
	for low > 0 && means[low-1] > limit {
		low--
	}
	for high < len(means)-1 && means[high+1] > limit {
		high++
	}
	b.topMM, b.baseMM = t.acrossOf(low)-t.acrossStepMM/2, t.acrossOf(high)+t.acrossStepMM/2
	return b, b.baseMM-b.topMM >= 1
}

// edgeStrength says how sharp the edges of the steps are when rows are averaged
// along axes turned by so many degrees: the power 1.5 rises for an edge that gets
// sharper, and lets the many edges outweigh the great one at the strip's end,
// which may be cut askew.
func (w *window) edgeStrength(degrees, surround float64) float64 {
	t := w.turned(degrees*math.Pi/180, 0.6)
	b, ok := t.band(surround)
	if !ok {
		return 0
	}
	mean := t.meanProfile(b, surround)
	reach := max(1, int(0.3/w.stepMM))
	sum := 0.0
	for i := reach; i+reach < len(mean); i++ {
		d := math.Abs(mean[i+reach] - mean[i-reach])
		sum += float64(d * math.Sqrt(d))
	}
	return sum
}

// meanProfile averages the rows of a band.
func (t *turned) meanProfile(b band, surround float64) []float64 {
	mean := make([]float64, t.cols)
	for i := range mean {
		n := 0
		for v := b.topMM + t.acrossStepMM; v < b.baseMM-t.acrossStepMM; v += t.acrossStepMM {
			if d, ok := t.sample(t.along(i), v, surround); ok {
				mean[i] += d
				n++
			}
		}
		mean[i] /= float64(max(n, 1))
	}
	return mean
}

// takeProfile takes the median of the band's inner rows at each place along it,
// so that figures and dust on the strip do not show.
func (w *window) takeProfile(b *band, surround float64) {
	t := w.turned(b.turn, w.stepMM)
	middle, half := (b.topMM+b.baseMM)/2, 0.35*(b.baseMM-b.topMM)
	b.stepMM, b.startMM = w.stepMM, w.along(0)
	b.profile = make([]float64, w.cols)
	var column []float64
	for i := range b.profile {
		column = column[:0]
		for v := middle - half; v <= middle+half; v += t.acrossStepMM {
			if d, ok := t.sample(t.along(i), v, surround); ok {
				column = append(column, d)
			}
		}
		b.profile[i] = median(column)
	}
	sorted := slices.Clone(b.profile)
	slices.Sort(sorted)
	if n := len(sorted); n > 0 {
		b.differenceL = sorted[n-1-n/50]
	}
}
