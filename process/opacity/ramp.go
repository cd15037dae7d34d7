package opacity

import (
	"actinic/process/density"
	"actinic/process/monotone"
)

// Ramp is UV density against film ink: the slope of a typical Coverage model
// times exp(Scale + Trend (u - 1/2) + correction), integrated from clear film.
// It rises strictly whatever the correction, and the correction may jump,
// because printers switch inks along a ramp. The logarithm of the slope is
// linear in all parameters, which keeps fits well behaved.
type Ramp struct {
	Scale      float64   // log of a constant factor on the slope
	Trend      float64   // change of the log slope from clear film to full ink
	Correction []float64 // log slope at RampGrid's knots
	rising     *monotone.Rising
	answer     *monotone.Sensitivity // made when first asked for
}

// RampGrid is where a Ramp's correction lives: film ink as a share, 0 to 1.
var RampGrid = monotone.Grid{Lo: 0, Hi: 1, Nodes: 201, Knots: 26}

// typical is the coverage that a ramp is expected to resemble: the film is
// never wholly covered, so that the solid density seems low.
var typical = Coverage{Solid: 0.8}

// trendAt is where the scalar parameters end and the correction starts.
const trendAt = 2

// Parameters is the number of parameters of a Ramp: Scale, Trend and one
// correction a knot, in this order.
func Parameters() int { return trendAt + RampGrid.Knots }

// NewRamp builds the ramp of a parameter vector of Parameters() values.
func NewRamp(p []float64) *Ramp {
	r := &Ramp{Scale: p[0], Trend: p[1], Correction: p[trendAt:Parameters()]}
	g := RampGrid
	logSlope := make([]float64, g.Nodes)
	for i := range g.Nodes {
		u := g.Node(i)
		j, left, right := g.Hats(i)
		logSlope[i] = typical.logSlope(u) + r.Scale + r.Trend*(u-0.5) +
			left*r.Correction[j] + right*r.Correction[j+1]
	}
	r.rising = monotone.NewRising(g, logSlope)
	return r
}

// answers makes the sensitivity to all parameters.
func (r *Ramp) answers() {
	g := RampGrid
	cols := Parameters()
	dlog := make([]float64, g.Nodes*cols)
	for i := range g.Nodes {
		row := dlog[i*cols : (i+1)*cols]
		j, left, right := g.Hats(i)
		row[0], row[1] = 1, g.Node(i)-0.5
		row[trendAt+j] += left
		row[trendAt+j+1] += right
	}
	r.answer = monotone.NewSensitivity(r.rising, dlog)
}

// UVDensity returns the UV density at an ink level, % of 0 to 100.
func (r *Ramp) UVDensity(ink float64) density.Density {
	return density.Density(r.rising.Value(ink / 100))
}

// Slope returns dUV/dink in density per %.
func (r *Ramp) Slope(ink float64) float64 { return r.rising.Slope(ink/100) / 100 }

// Ink returns the ink level, %, whose UV density is d. It fails with
// *RangeError outside 0 to the density of full ink.
func (r *Ramp) Ink(d density.Density) (float64, error) {
	if high := r.UVDensity(100); !(d >= 0 && d <= high) {
		return 0, &RangeError{"UV density", float64(d), 0, float64(high)}
	}
	return 100 * r.rising.Inverse(float64(d)), nil
}

// Sensitivity writes d(UVDensity(ink))/d(parameter) into dst. Its first call
// fills a table: it is not safe for concurrent use.
func (r *Ramp) Sensitivity(ink float64, dst []float64) {
	if r.answer == nil {
		r.answers()
	}
	r.answer.At(ink/100, dst)
}
