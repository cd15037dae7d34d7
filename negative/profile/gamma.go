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
		return &Luminance{channels: 1, tables: [3][]float32{bake(decode, 1)}}
	case 3:
		return newMatrix([3]curve{decode, decode, decode}, srgbY)
	}
	panic(fmt.Sprintf("profile: a power of light in %d channels", channels))
}
