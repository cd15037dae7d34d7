package calibration

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure"
	"actinic/process/monotone"
)

// Reversal names the most exposed readings of a print that turned back towards
// the paper (solarisation, bronzing). They are left out of the fit, and the
// exposure of the first good one is an upper limit.
type Reversal struct {
	File   string
	IDs    []string
	By     float64 // how far the tone turned back at most, in Unit
	Unit   measure.Unit
	Tablet float64 // tablet density of the most exposed good reading, NaN for a ramp
	Ink    float64 // film ink of it, %, NaN for a tablet
}

// trimReversals leaves out the most exposed readings that turn back, and
// refuses readings that turn back anywhere else.
func trimReversals(prints []Print, o *Options) ([]Print, []Reversal, error) {
	var all []Reversal
	kept := make([]Print, len(prints))
	for k, p := range prints {
		kept[k] = p
		for _, t := range []**measure.Table{&kept[k].Tablet, &kept[k].Ramp} {
			if *t == nil {
				continue
			}
			trimmed, rev, err := trim(*t, o.Falling)
			if err != nil {
				return nil, nil, err
			}
			*t = trimmed
			if rev != nil {
				all = append(all, *rev)
			}
		}
	}
	return kept, all, nil
}

// level is the readings at one tablet density or ink, the most exposed first.
type level struct {
	at    float64 // tablet density or ink
	tone  float64 // darkness by exposure: rises towards black as exposure grows
	count float64
	index []int
}

// turnSD is how many times its noise a turn must exceed to be one.
const turnSD = 4.0

func trim(t *measure.Table, falling bool) (*measure.Table, *Reversal, error) {
	levels := levelsOf(t, falling)
	sd := scatter(levels, t)
	n := turned(levels, min(len(levels)/3, len(levels)-4), sd)
	if err := turnsElsewhere(t, levels[n:], sd); err != nil {
		return nil, nil, err
	}
	if n == 0 {
		return t, nil, nil
	}
	rev := &Reversal{File: t.File, Tablet: math.NaN(), Ink: math.NaN(), Unit: t.Unit, By: levels[n].tone - levels[0].tone}
	drop := map[int]bool{}
	for _, l := range levels[:n] {
		rev.By = math.Max(rev.By, levels[n].tone-l.tone)
		for _, i := range l.index {
			drop[i] = true
			rev.IDs = append(rev.IDs, t.Readings[i].ID)
		}
	}
	if t.Kind == measure.Tablet {
		rev.Tablet = levels[n].at
	} else {
		rev.Ink = levels[n].at
	}
	short := *t
	short.Readings = nil
	for i, r := range t.Readings {
		if !drop[i] {
			short.Readings = append(short.Readings, r)
		}
	}
	return &short, rev, nil
}

// levelsOf groups readings by what they were exposed through, in their own unit
// turned so that they grow with exposure.
func levelsOf(t *measure.Table, falling bool) []level {
	sign := 1.0
	if t.Unit == measure.InLightness {
		sign = -sign
	}
	if falling {
		sign = -sign
	}
	by := map[float64]*level{}
	for i, r := range t.Readings {
		at := r.Ink
		if t.Kind == measure.Tablet {
			at = float64(r.Tablet)
		}
		l := by[at]
		if l == nil {
			l = &level{at: at}
			by[at] = l
		}
		l.tone += sign * r.Value
		l.count++
		l.index = append(l.index, i)
	}
	var out []level
	for _, l := range by {
		l.tone /= l.count
		out = append(out, *l)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].at < out[j].at })
	return out
}

// scatter is a robust guess of the noise of one reading in its own unit, from
// how far levels lie off the monotone curve nearest to them and repeats off each
// other, which lie elsewhere on an uneven sheet; the usual noise of such readings
// at least.
func scatter(levels []level, t *measure.Table) float64 {
	y, w := make([]float64, len(levels)), make([]float64, len(levels))
	for i, l := range levels {
		y[i], w[i] = l.tone, l.count
	}
	least := math.Max(firstNoise[t.Unit], repeatScatter(levels, t))
	fit, err := monotone.Isotonic(y, w, monotone.Decreasing)
	if err != nil {
		return least
	}
	var off []float64
	for i := range y {
		off = append(off, math.Abs(y[i]-fit[i])*math.Sqrt(w[i]))
	}
	sort.Float64s(off)
	return math.Max(least, off[len(off)*3/4])
}

// repeatScatter is the noise of one reading by the repeats of levels: the median
// distance from a level's mean, as a standard deviation of normal noise; 0 when
// few levels were repeated.
func repeatScatter(levels []level, t *measure.Table) float64 {
	const leastRepeats, perMedian = 10, 1.4826
	var off []float64
	for _, l := range levels {
		if l.count < 2 {
			continue
		}
		mean := 0.0
		for _, i := range l.index {
			mean += t.Readings[i].Value / l.count
		}
		for _, i := range l.index {
			off = append(off, math.Abs(t.Readings[i].Value-mean)*math.Sqrt(l.count/(l.count-1)))
		}
	}
	if len(off) < leastRepeats {
		return 0
	}
	sort.Float64s(off)
	return perMedian * off[len(off)/2]
}

// turned counts the most exposed levels that lie below the best of the first
// among levels by more than their noise. Levels beside the best that its noise
// hides are kept.
func turned(levels []level, among int, sd float64) int {
	best := 0
	for i := range max(0, among) {
		if levels[i].tone > levels[best].tone {
			best = i
		}
	}
	below := func(i int) float64 { // in standard deviations
		return (levels[best].tone - levels[i].tone) / (sd * math.Sqrt(1/levels[i].count+1/levels[best].count))
	}
	if best == 0 || below(0) < turnSD {
		return 0
	}
	n := best
	for n > 0 && below(n-1) < 1 {
		n--
	}
	return n
}

// turnsElsewhere refuses a run of levels that goes the wrong way: three at least
// on each side, so that a spoiled patch or two are left to the robust fit.
func turnsElsewhere(t *measure.Table, levels []level, sd float64) error {
	const run = 3
	for i := run; i+run <= len(levels); i++ {
		before, nb := mean(levels[i-run : i])
		after, na := mean(levels[i : i+run])
		if lowest(levels[i:i+run]) <= highest(levels[i-run:i]) || after-before < 1.5*turnSD*sd*math.Sqrt(1/nb+1/na) {
			continue
		}
		var ids []string
		for _, l := range levels[i-run : i+run] {
			ids = append(ids, t.Readings[l.index[0]].ID)
		}
		return fault.New(t.File, "patches "+strings.Join(ids, ", "),
			fmt.Sprintf("tone turns back by %.2g %s in the middle of the scale, expected it to run one way", after-before, t.Unit),
			"look for swapped patches or an uneven coating; a reversal of the most exposed patches alone would be left out")
	}
	return nil
}

func mean(ls []level) (m, count float64) {
	for _, l := range ls {
		m += l.tone * l.count
		count += l.count
	}
	return m / count, count
}

func lowest(ls []level) float64 {
	low := math.Inf(1)
	for _, l := range ls {
		low = math.Min(low, l.tone)
	}
	return low
}

func highest(ls []level) float64 {
	high := math.Inf(-1)
	for _, l := range ls {
		high = math.Max(high, l.tone)
	}
	return high
}
