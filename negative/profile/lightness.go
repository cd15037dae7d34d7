package profile

import "math"

// kappa and epsilon are those of CIE 15:2004, 8.2.1.1.
const kappa = 24389.0 / 27

// fromLightness returns CIE Y/Yn of L* 0..100.
func fromLightness(l float32) float32 {
	if l <= 8 {
		return float32(l / kappa)
	}
	f := float32(l+16) / 116
	return float32(float32(f*f) * f)
}

// toLightness returns L* of Y/Yn.
func toLightness(y float64) float64 {
	if y <= 216.0/24389 {
		return kappa * y
	}
	return 116*math.Cbrt(y) - 16
}
