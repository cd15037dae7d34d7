package calibration

import (
	"math"

	"actinic/process/sensitometry"
)

// Value is a quantity with its standard uncertainty in the same unit.
type Value struct {
	Value float64 `json:"value"`
	SD    float64 `json:"sd"`
}

// Known says whether there is a value.
func (v Value) Known() bool { return !math.IsNaN(v.Value) }

// derive returns quantities of the fitted curves, which know no place, with their uncertainties, by
// the derivatives of each with respect to every parameter (GUM, JCGM 100:2008,
// 5.1), taken as central differences of a small part of a parameter's own doubt.
func (e *Estimate) derive(quantities func(*evaluator) []float64) []Value {
	f := e.fit
	at := quantities(f.curves())
	gradient := make([][]float64, len(at))
	for k := range gradient {
		gradient[k] = make([]float64, f.size())
	}
	p := append([]float64(nil), f.mean...)
	for i := range f.core() {
		h := 0.01 * math.Sqrt(f.covariance.At(i, i))
		if h < 1e-7 {
			continue // held by its prior
		}
		p[i] = f.mean[i] + h
		up := quantities(f.at(p))
		p[i] = f.mean[i] - h
		down := quantities(f.at(p))
		p[i] = f.mean[i]
		for k := range gradient {
			gradient[k][i] = (up[k] - down[k]) / (2 * h)
		}
	}
	out := make([]Value, len(at))
	for k := range out {
		out[k] = Value{at[k], f.sd(gradient[k])}
		if math.IsNaN(at[k]) {
			out[k].SD = math.NaN()
		}
	}
	return out
}

// Sensitometry is what a print of a step tablet says about the process, each
// figure with its standard uncertainty; NaN where the readings do not reach.
type Sensitometry struct {
	PaperDensity    Value
	MaximumDensity  Value
	Toe             Value // log exposure of 0.04 above the paper
	Speed           Value // log exposure of 0.60 above the paper
	Shoulder        Value // log exposure of 90 % of net maximum density
	Black           Value // log exposure of 97 % of net maximum density
	ExposureScale   Value
	NeededRange     Value
	AverageGradient Value
	Missing         []*sensitometry.RangeError
}

// Sensitometry returns the figures of the characteristic curve that all prints
// share. Without a tablet they mean nothing.
func (e *Estimate) Sensitometry() Sensitometry {
	nominal := e.Curve()
	points := nominal.Points()
	v := e.derive(func(ev *evaluator) []float64 {
		c := e.curveOf(ev)
		c.Low, c.High = nominal.Low-1, nominal.High+1 // differences may cross the end
		p := c.Points()
		return []float64{float64(c.Paper), float64(c.Maximum()), float64(p.Toe), float64(p.Speed),
			float64(p.Shoulder), float64(p.Black), float64(p.ExposureScale()), float64(p.NeededRange()),
			c.AverageGradient(p)}
	})
	s := Sensitometry{v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8], points.Missing}
	s.withhold(points)
	e.addTabletDoubt(&s)
	return s
}

// withhold blanks what the readings do not reach, and what rests on an end that
// they miss by far.
func (s *Sensitometry) withhold(p sensitometry.Points) {
	black := []*Value{&s.Shoulder, &s.Black, &s.ExposureScale, &s.NeededRange, &s.AverageGradient, &s.MaximumDensity}
	white := []*Value{&s.Toe, &s.Speed, &s.ExposureScale, &s.NeededRange, &s.AverageGradient, &s.PaperDensity}
	for _, m := range p.Missing {
		if m.Far && m.End == "maximum black" {
			blank(black...)
		} else if m.Far {
			blank(white...)
		}
	}
	if math.IsNaN(float64(p.Toe)) {
		blank(&s.Toe, &s.ExposureScale, &s.NeededRange, &s.AverageGradient)
	}
	if math.IsNaN(float64(p.Speed)) {
		blank(&s.Speed)
	}
	if math.IsNaN(float64(p.Shoulder)) {
		blank(&s.Shoulder, &s.ExposureScale, &s.AverageGradient)
	}
	if math.IsNaN(float64(p.Black)) {
		blank(&s.Black, &s.NeededRange)
	}
}

func blank(values ...*Value) {
	for _, v := range values {
		*v = Value{math.NaN(), math.NaN()}
	}
}

// addTabletDoubt widens the figures in log exposure by the tablet's own doubt,
// where its densities are nominal: a common scale error, so that a range grows
// in proportion and a point with its distance from clear film.
func (e *Estimate) addTabletDoubt(s *Sensitometry) {
	share := e.tabletScaleDoubt()
	for _, v := range []*Value{&s.Toe, &s.Speed, &s.Shoulder, &s.Black, &s.ExposureScale, &s.NeededRange, &s.AverageGradient} {
		v.SD = math.Hypot(v.SD, share*v.Value)
	}
}

// tabletScaleDoubt is the relative standard uncertainty of a nominal tablet's
// densities at its dense end, or 0 when the densities were measured.
func (e *Estimate) tabletScaleDoubt() float64 {
	doubt := 0.0
	for _, p := range e.prints {
		if p.Tablet == nil {
			continue
		}
		for _, r := range p.Tablet.Readings {
			if r.TabletSD > 0.01 && r.Tablet > 1 {
				doubt = math.Max(doubt, r.TabletSD/float64(r.Tablet))
			}
		}
	}
	return doubt
}
