package raster

import "math"

// chromaticities are CIE x and y of white, red, green and blue.
type chromaticities [4][2]float64

// srgbChromaticities are those of IEC 61966-2-1:1999.
var srgbChromaticities = chromaticities{{0.3127, 0.3290}, {0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}}

// unlessSRGB returns the light of the primaries, or zeros where that is sRGB's: cHRM
// is rounded, and white is given in several ways.
func (c chromaticities) unlessSRGB() [3]float64 {
	light, _ := c.light()
	srgb, _ := srgbChromaticities.light()
	for i := range light {
		if math.Abs(light[i]-srgb[i]) > 0.001 {
			return light
		}
	}
	return [3]float64{}
}

// light returns Y of full red, green and blue, white 1, adapted to D50 by the
// linear Bradford matrix as ICC.1:2010, annex E does. It reports false where the
// primaries span no colours, or white is none of them.
func (c chromaticities) light() (light [3]float64, ok bool) {
	white := xyzOf(c[0])
	parts := columns(xyzOf(c[1]), xyzOf(c[2]), xyzOf(c[3])).solve(white)
	response, d50 := bradford.times(white), bradford.times([3]float64{0.9642, 1, 0.8249})
	for i := range light {
		cone := bradford.times(xyzOf(c[1+i]))
		for k := range cone {
			cone[k] *= d50[k] / response[k]
		}
		light[i] = parts[i] * bradford.solve(cone)[1]
		if !(light[i] > 0 && light[i] < 1) {
			return light, false
		}
	}
	return light, true
}

// xyzOf is X, Y, Z of a chromaticity with Y = 1.
func xyzOf(xy [2]float64) [3]float64 {
	return [3]float64{xy[0] / xy[1], 1, (1 - xy[0] - xy[1]) / xy[1]}
}

// bradford is the cone response of ICC.1:2010, annex E.
var bradford = matrix3{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}

type matrix3 [3][3]float64

func columns(a, b, c [3]float64) (m matrix3) {
	for i := range m {
		m[i] = [3]float64{a[i], b[i], c[i]}
	}
	return m
}

func (m matrix3) times(v [3]float64) (out [3]float64) {
	for i, row := range m {
		out[i] = float64(row[0]*v[0]) + float64(row[1]*v[1]) + float64(row[2]*v[2])
	}
	return out
}

func (m matrix3) determinant() float64 {
	minor := func(a, b int) float64 { return float64(m[1][a]*m[2][b]) - float64(m[1][b]*m[2][a]) }
	return float64(m[0][0]*minor(1, 2)) - float64(m[0][1]*minor(0, 2)) + float64(m[0][2]*minor(0, 1))
}

// solve returns x of m x = v, by Cramer's rule; no numbers where there is none.
func (m matrix3) solve(v [3]float64) (x [3]float64) {
	whole := m.determinant()
	for i := range x {
		part := m
		for k := range part {
			part[k][i] = v[k]
		}
		x[i] = part.determinant() / whole
	}
	return x
}
