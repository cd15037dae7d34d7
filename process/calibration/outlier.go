package calibration

import (
	"math"

	"actinic/process/density"
	"actinic/process/measure"
)

// Outlier is a reading that the fit does not believe: dust, a pinhole, a finger
// mark, a slip of the pen.
type Outlier struct {
	File string  `json:"file"`
	ID   string  `json:"id"`
	Off  float64 `json:"off_lstar"` // reading less expectation
}

// Outliers lists the readings that lie further from the fit than four times
// their noise.
func (e *Estimate) Outliers() []Outlier {
	var out []Outlier
	for i, o := range e.fit.obs {
		r := e.fit.residual[i]
		if math.Abs(r) < outlierAt*e.fit.noise.of(&o) {
			continue
		}
		if o.unit == measure.InDensity {
			d := o.table.Readings[o.index].Density()
			r = float64(d.Lightness() - (d - density.Density(r)).Lightness())
		}
		out = append(out, Outlier{File: o.table.Name, ID: o.table.Readings[o.index].ID, Off: r})
	}
	return out
}

// Noise returns the standard deviation of one reading as the fit found it, in
// L* for readings in L* and in density for readings in density; NaN where there
// are none of the kind.
func (e *Estimate) Noise() (lightness, inDensity float64) {
	var sum, count [2]float64
	for _, o := range e.fit.obs {
		s := e.fit.noise.of(&o)
		sum[o.unit] += s * s
		count[o.unit]++
	}
	rms := func(u measure.Unit) float64 { return math.Sqrt(sum[u] / count[u]) }
	return rms(measure.InLightness), rms(measure.InDensity)
}

// Misfit is the root-mean-square distance of the readings from the fit in L*,
// outliers left out.
func (e *Estimate) Misfit() float64 {
	sum, count := 0.0, 0.0
	ev := e.fit.curves()
	for i := range e.fit.obs {
		o := e.fit.obs[i]
		if math.Abs(e.fit.residual[i]) >= outlierAt*e.fit.noise.of(&o) {
			continue
		}
		o.unit = measure.InLightness
		r := float64(o.table.Readings[o.index].Lightness()) - ev.reading(&o, nil)
		sum += r * r
		count++
	}
	return math.Sqrt(sum / count)
}

// DegreesOfFreedom is the effective number of parameters that the readings fix.
func (e *Estimate) DegreesOfFreedom() float64 { return e.fit.dof }
