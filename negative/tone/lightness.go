package tone

import (
	"math"

	"actinic/process/density"
)

// A picture's luminance arrives as float32, 0 to 1. Its tone is found by table:
// the bits of a float32 are already a coarse logarithm, so adding a small
// constant and taking the top bits gives cells that are fine where L* is steep
// (deep shadows) and coarse where it is not, without a root per pixel.
const (
	lumaFloor  = 1.0 / 512 // added to Y: below it the cells are of one width
	lumaShift  = 13        // mantissa bits left as the fraction inside a cell
	lumaMask   = 1<<lumaShift - 1
	lumaOrigin = 0x3b000000 // bits of lumaFloor as a float32
	lumaTop    = 0x3f804000 // bits of 1 + lumaFloor
	// lumaWhite counts as white: sums of float32 weights miss 1 by a few units in
	// the last place, and paper white must come out as full ink, not nearly.
	lumaWhite = 1 - 3e-7
	lumaCells = (lumaTop-lumaOrigin)>>lumaShift + 1

	// toneBits is the scale of a tone in integers: 2^28 is L* 100.
	toneBits = 28
	toneFull = 1 << toneBits
)

// lumaTone holds the tone of each cell border, in units of 100/2^28 L*.
var lumaTone = bakeLumaTone()

func bakeLumaTone() *[lumaCells + 1]uint32 {
	var t [lumaCells + 1]uint32
	for i := range t {
		z := math.Float32frombits(uint32(lumaOrigin + i<<lumaShift))
		y := density.Reflectance(min(float64(z)-lumaFloor, 1))
		t[i] = uint32(math.Round(float64(y.Lightness()) / 100 * toneFull))
	}
	return &t
}

// toneOf returns the tone of luminance y (0 black to 1 white, CIE Y/Yn) in
// units of 100/2^28 L*. Luminance outside 0..1 counts as the nearer end, not a
// number as black. It is within 0.00002 L* of the formula of CIE 15:2018.
func toneOf(y float32) uint32 {
	if !(y > 0) {
		return 0
	}
	if y >= lumaWhite {
		return toneFull
	}
	bits := math.Float32bits(y+lumaFloor) - lumaOrigin
	cell, part := bits>>lumaShift, uint64(bits&lumaMask)
	lo, hi := lumaTone[cell], lumaTone[cell+1]
	return lo + uint32((uint64(hi-lo)*part)>>lumaShift)
}

// Of returns the tone (CIE 1976 L*, 0 to 100) of linear-light luminance y, 0 to
// 1, as the row stages see it: through the same table, to 0.00002 L*.
func Of(y float32) density.Lightness {
	return density.Lightness(float64(toneOf(y)) * (100.0 / toneFull))
}
