package calibration

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"actinic/process/measure"
)

// Tablets of one paper lie over each other once their exposures are told apart. A
// paper that masks itself while it prints has another curve at every exposure, and
// a tablet of another print has one too.

// apartChance is how seldom honest tablets are said not to lie over each other,
// and leastApart how far apart in L* they must be for a word (working values of
// ours).
const (
	apartChance = 0.001
	leastApart  = 0.4
)

// loneTablet is the fit to one sheet's tablet by itself.
type loneTablet struct {
	fit *fitted
	dof float64
}

// tabletsApart says whether the tablets need curves of their own: whether the
// curve that all share leaves more of them than their own noise and freedom
// account for (the F test of nested models; Draper & Smith, Applied Regression
// Analysis, 1998, 6.1). off is how far the shared curve misses them, in L*.
func (f *colourFit) tabletsApart() (off float64, apart bool) {
	lone := f.loneTablets()
	if len(lone) < 2 {
		return 0, false
	}
	shared, all := f.estimate.fit, 0.0
	missed, apartBy, free, extra := 0.0, 0.0, 0.0, -shared.dof
	for i := range shared.obs {
		o := &shared.obs[i]
		l, ok := lone[o.print]
		if !ok || o.table.Readings[o.index].HasDevice { // clear film is no step
			continue
		}
		own := *o
		own.print, own.group = 0, 0
		r := o.value - l.fit.curves().reading(&own, nil)
		sd := l.fit.noise.of(&own)
		w := shared.weights[i]
		apartBy += w * math.Pow(r/sd, 2)
		missed += w * math.Pow(shared.residual[i]/sd, 2)
		off += w * math.Pow(lightnessOff(o, shared.residual[i]-r), 2)
		all += w
	}
	for _, l := range lone {
		free += float64(len(l.fit.obs)) - l.dof
		extra += l.dof
	}
	off = math.Sqrt(off / all)
	if !(extra >= 1) || !(free >= 1) {
		return off, false
	}
	f1 := math.Max(0, missed-apartBy) / extra / (apartBy / free)
	return off, off >= leastApart && distuv.F{D1: extra, D2: free}.Survival(f1) < apartChance
}

// lightnessOff is a distance in an observation's unit as one of L*.
func lightnessOff(o *observation, off float64) float64 {
	if o.unit == measure.InLightness {
		return off
	}
	return offLightness(o.table.Readings[o.index].Density(), off)
}

// loneTablets fits each tablet by itself, as even sheets would read them.
func (f *colourFit) loneTablets() map[int]loneTablet {
	out := map[int]loneTablet{}
	if len(f.prints) < 2 {
		return nil
	}
	for k, s := range f.sheets {
		if s.tablet == nil {
			continue
		}
		s.tablet, s.clear = f.evened(k, s.tablet, s.cutOut), nil
		alone := &colourFit{options: f.options, prints: f.prints[s.print : s.print+1], sheets: []colourSheet{s}}
		alone.uneven = newSurfaces(make([]Print, 1), true)
		if alone.fitTablets() == nil {
			fit := alone.estimate.fit
			out[k] = loneTablet{fit, fit.dof}
		}
	}
	return out
}
