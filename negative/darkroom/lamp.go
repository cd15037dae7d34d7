package darkroom

import (
	"math"

	"actinic/process/density"
)

// Lamp is how unevenly a lamp lights the printing frame. The same lamp lights
// every print alike: its Seed is not the print's. The zero value is even.
type Lamp struct {
	Seed uint64
	// Most is the largest shift of log exposure anywhere over the film, either
	// way, about a mean of zero.
	Most density.LogExposure
}

// lampStepMM keeps the straight lines between knots within a hundredth of the
// shift of the narrowest thing here, the ripple of tubes.
const lampStepMM = 2

// shift returns the lamp's shift of log exposure over a sheet that reaches
// beyondMM past the film on every side.
//
// A bulb hangs off the middle and its light falls off with a power of the
// cosine; beside it there is a soft hot spot, a frame that stands a little
// askew, and the ripple of tubes. None of it is a polynomial in place.
func (l Lamp) shift(widthMM, heightMM, beyondMM float64) *field {
	rng := Random(l.Seed, 2001)
	long := max(widthMM, heightMM)
	near := func(mm float64) float64 { return mm * between(rng, 0.25, 0.75) }
	bulbX, bulbY := near(widthMM), near(heightMM)
	hangs, power := long*between(rng, 0.8, 1.8), between(rng, 2.5, 4)
	spotX, spotY := near(widthMM), near(heightMM)
	spotSD, spot := long*between(rng, 0.18, 0.4), between(rng, -0.06, 0.06)
	tiltX, tiltY := between(rng, -0.06, 0.06)/widthMM, between(rng, -0.06, 0.06)/heightMM
	pitch, ripple, phase := between(rng, 45, 90), between(rng, 0, 0.004), between(rng, 0, 2*math.Pi)
	f := newField(widthMM, heightMM, lampStepMM, func(x, y float64) float64 {
		away := math.Hypot(x-bulbX, y-bulbY)
		v := power * math.Log10(hangs/math.Hypot(hangs, away))
		off := math.Hypot(x-spotX, y-spotY) / spotSD
		v += spot * math.Exp(-off*off/2)
		return v + tiltX*x + tiltY*y + ripple*math.Sin(2*math.Pi*y/pitch+phase)
	})
	f.level(beyondMM, float64(l.Most))
	return f
}
