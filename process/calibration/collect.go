package calibration

import (
	"math"

	"actinic/process/measure"
	"actinic/process/monotone"
	"actinic/process/opacity"
)

// Typical noise of a reading, the first guess of a fit: a densitometer's in
// density, a scanner's in L* (common practice).
var firstNoise = map[measure.Unit]float64{measure.InDensity: 0.01, measure.InLightness: 0.5}

// groupKey tells apart readings whose noise is estimated together: those in one
// unit, with or without an uncertainty of their own.
type groupKey struct {
	unit   measure.Unit
	stated bool
}

// collector turns tables of readings into observations of a model.
type collector struct {
	m      *model
	groups map[groupKey]int
	start  noise
}

// collect builds the model of prints and the first guess of the noise.
func collect(prints []Print, o *Options) (*model, noise) {
	m := &model{prints: len(prints), falling: o.Falling, untied: true, uneven: newSurfaces(prints, o.KeepUnevenness)}
	c := &collector{m: m, groups: map[groupKey]int{}}
	for k, p := range prints {
		if p.Tablet != nil {
			m.untied = false
			m.cutOut = m.cutOut || p.CutOut
			c.add(k, p.Tablet, p.CutOut)
		}
		if p.Ramp != nil {
			m.nRamp = opacity.Parameters()
			c.add(k, p.Ramp, false)
		}
	}
	c.start.setUsual(m.obs)
	m.grid = formGrid(m.obs)
	m.nForm = 3 + m.grid.Knots
	return m, c.start
}

func (c *collector) add(print int, t *measure.Table, cutOut bool) {
	doubt := statedDoubt(t)
	stated := doubt != nil
	for i, r := range t.Readings {
		o := observation{print: print, tablet: math.NaN(), ink: math.NaN(), value: r.Value,
			unit: r.Unit, scale: 1, table: t, index: i, group: c.group(groupKey{r.Unit, stated})}
		if stated {
			o.scale = doubt[i]
		}
		if s := c.m.uneven.sheets[print]; s != nil && placed(r) {
			o.terms = s.terms(r.XMM, r.YMM)
		}
		if t.Kind == measure.Tablet {
			o.tablet, o.cutOut = float64(r.Tablet), cutOut
		} else {
			o.ink = r.Ink
		}
		c.m.obs = append(c.m.obs, o)
	}
}

// statedDoubt returns the readings' own standard uncertainties, nil when none
// has one. A reading without takes the largest of the table.
func statedDoubt(t *measure.Table) []float64 {
	largest := 0.0
	for _, r := range t.Readings {
		if r.SD > largest {
			largest = r.SD
		}
	}
	if largest == 0 {
		return nil
	}
	out := make([]float64, len(t.Readings))
	for i, r := range t.Readings {
		out[i] = largest
		if r.SD > 0 {
			out[i] = r.SD
		}
	}
	return out
}

func (c *collector) group(k groupKey) int {
	g, ok := c.groups[k]
	if !ok {
		g = len(c.start)
		c.groups[k] = g
		c.start = append(c.start, usualNoise(k))
	}
	return g
}

// formGrid spans the log exposures of all readings with room to spare for the
// ramp, whose UV density is not known yet, and for further prints' exposures.
func formGrid(obs []observation) monotone.Grid {
	deepest := 3.0
	for _, o := range obs {
		if !math.IsNaN(o.tablet) {
			deepest = math.Max(deepest, o.tablet)
		}
	}
	lo, hi := -deepest-0.4, 0.8
	knots := int(math.Round((hi-lo)/0.21)) + 1
	return monotone.Grid{Lo: lo, Hi: hi, Nodes: 8*(knots-1) + 1, Knots: knots}
}
