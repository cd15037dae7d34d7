package proof

import (
	"math"

	"actinic/process/density"
)

// Lab is a CIE 1976 L*a*b* colour under D50 (CIE 15:2018), as prints are
// measured.
type Lab struct {
	L    density.Lightness
	A, B float64
}

// d50 is the white of the ICC profile connection space (ICC.1:2010, 7.2.16).
var d50 = [3]float64{0.9642, 1, 0.8249}

// srgbToXYZ takes linear sRGB to XYZ under D50: IEC 61966-2-1:1999 primaries,
// adapted from D65 with the Bradford cone matrix (ICC.1:2010, Annex E).
var srgbToXYZ = [3][3]float64{
	{0.4360412516, 0.3851129108, 0.1430458376},
	{0.2224845402, 0.7169050786, 0.06061038116},
	{0.01392018747, 0.0970672387, 0.7139125738},
}

var xyzToSRGB = inverse(srgbToXYZ)

// inverse returns the inverse of a 3 x 3 matrix by cofactors.
func inverse(m [3][3]float64) (inv [3][3]float64) {
	det := 0.0
	for i := range 3 {
		for j := range 3 {
			a, b := (j+1)%3, (j+2)%3
			c, d := (i+1)%3, (i+2)%3
			inv[i][j] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	for j := range 3 {
		det += m[0][j] * inv[j][0]
	}
	for i := range 3 {
		for j := range 3 {
			inv[i][j] /= det
		}
	}
	return inv
}

// linear returns the linear sRGB of a colour, outside 0..1 when the screen
// cannot show it.
func (c Lab) linear() (rgb [3]float64) {
	fy := (float64(c.L) + 16) / 116
	xyz := [3]float64{
		d50[0] * fromCube(fy+c.A/500),
		float64(c.L.Reflectance()),
		d50[2] * fromCube(fy-c.B/200),
	}
	for i := range rgb {
		rgb[i] = xyzToSRGB[i][0]*xyz[0] + xyzToSRGB[i][1]*xyz[1] + xyzToSRGB[i][2]*xyz[2]
	}
	return rgb
}

// fromCube undoes the cube root of CIE 15:2018, 8.2.1: f to X/Xn.
func fromCube(f float64) float64 {
	return float64(density.Lightness(116*f - 16).Reflectance())
}

// SRGB returns the colour as sRGB-encoded red, green and blue, each 0 to 1
// (IEC 61966-2-1:1999). A colour that sRGB does not hold keeps its lightness and
// hue angle and loses chroma, just enough.
func (c Lab) SRGB() [3]float64 {
	rgb := c.inGamut().linear()
	for i, v := range rgb {
		rgb[i] = encode(min(max(v, 0), 1))
	}
	return rgb
}

// gamutRoom lets white through, which the printed digits of the matrix put a
// hair outside.
const gamutRoom = 1e-6

func (c Lab) shows() bool {
	for _, v := range c.linear() {
		if v < -gamutRoom || v > 1+gamutRoom {
			return false
		}
	}
	return true
}

func (c Lab) inGamut() Lab {
	c.L = min(max(c.L, 0), 100)
	if c.shows() {
		return c
	}
	lo, hi := 0.0, 1.0
	for range 40 {
		mid := (lo + hi) / 2
		if (Lab{c.L, c.A * mid, c.B * mid}).shows() {
			lo = mid
		} else {
			hi = mid
		}
	}
	return Lab{c.L, c.A * lo, c.B * lo}
}

// encode is the sRGB transfer function (IEC 61966-2-1:1999).
func encode(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}
