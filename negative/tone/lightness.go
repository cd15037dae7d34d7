package tone

import (
	"math"

	"actinic/process/density"
)

// A picture's luminance arrives as float32, 0 to 1. The bits of a float32 are
// already a coarse logarithm, so adding a small constant and counting the
// numbers from there gives steps that are fine where L* is steep (deep shadows)
// and coarse where it is not, without a root per pixel.
const (
	lumaFloor  = 1.0 / 512  // added to Y: below it the steps are of one width
	lumaOrigin = 0x3b000000 // bits of lumaFloor as a float32
	lumaTop    = 0x3f804000 // bits of 1 + lumaFloor
	// lumaSteps is how many steps there are from black to white.
	lumaSteps = lumaTop - lumaOrigin
	// lumaWhite is the first step that counts as white: sums of float32 weights
	// miss 1 by a few units in the last place, and paper white must come out as
	// full ink, not nearly. It is Y = 1 - 3e-7.
	lumaWhite = lumaSteps - 2
)

// lumaStep returns the step of luminance y. Luminance below 0 and what is not a
// number wraps to steps beyond lumaSteps, as luminance above 1 goes there, so
// that one comparison with lumaWhite finds all three; see endStep.
func lumaStep(y float32) uint32 { return math.Float32bits(y+lumaFloor) - lumaOrigin }

// endStep returns the step of a luminance of at least lumaWhite, below 0, or
// that is not a number: the nearer end, and black for the last.
func endStep(y float32) uint32 {
	if y > 0 {
		return lumaSteps
	}
	return 0
}

// stepTone returns the tone of a step, L*, by the formula of CIE 15:2018.
func stepTone(step uint32) float64 {
	if step >= lumaWhite {
		return 100
	}
	y := float64(math.Float32frombits(lumaOrigin+step)) - lumaFloor
	return float64(density.Reflectance(y).Lightness())
}

// Of returns the tone (CIE 1976 L*, 0 to 100) of linear-light luminance y, 0 to
// 1, as the row stages see it: to 0.000001 L*. Luminance outside 0..1 counts as
// the nearer end, not a number as black.
func Of(y float32) density.Lightness {
	step := lumaStep(y)
	if step >= lumaWhite {
		step = endStep(y)
	}
	return density.Lightness(stepTone(step))
}
