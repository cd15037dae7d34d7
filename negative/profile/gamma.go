package profile

import (
	"fmt"
	"math"
)

// Gamma returns the luminance of values that are a power of light, with the sRGB
// primaries: light is the encoded value to the exponent. It is for pictures
// that state an exponent in place of a profile (PNG's gAMA chunk; see
// raster.Header.Gamma). Primaries that such a file may state are not looked at.
//
// channels must be 1 or 3 and exponent positive; other values panic.
func Gamma(channels int, exponent float64) *Luminance {
	if !(exponent > 0) || math.IsInf(exponent, 1) {
		panic(fmt.Sprintf("profile: an exponent of %g", exponent))
	}
	decode := func(v float64) float64 { return math.Pow(v, exponent) }
	switch channels {
	case 1:
		return newGrey(decode)
	case 3:
		return newMatrix(decode, srgbY)
	}
	panic(fmt.Sprintf("profile: a power of light in %d channels", channels))
}

// Primaries returns the luminance of red, green and blue whose full values have the
// light y, white 1 (raster.Header.RGBLight): a power of light as in Gamma, or, with
// the exponent 0, sRGB's curve.
func Primaries(exponent float64, y [3]float64) *Luminance {
	if exponent == 0 {
		return newMatrix(decodeSRGB, y)
	}
	return newMatrix(func(v float64) float64 { return math.Pow(v, exponent) }, y)
}
