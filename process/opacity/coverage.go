package opacity

import (
	"fmt"
	"math"

	"actinic/process/density"
)

// Coverage is the Murray-Davies picture of an ink ramp: a share of the film is
// covered by solid ink and the rest is clear, in contact with the paper, so
// that transmittances add by area.
//
// Source: A. Murray, J. Franklin Inst. 221 (1936) 721-744, for the area rule
// (from memory); for a contact negative the light under the dots does not
// spread, so no Yule-Nielsen factor enters.
type Coverage struct {
	Solid density.Density // UV density of solid ink, net above clear film, above 0
	Gain  float64         // dot gain at half coverage as a share of the film, -0.24 to 0.24
}

// RangeError says that a value lies outside what a model can give.
type RangeError struct {
	What      string
	Value     float64
	Low, High float64
}

func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %.4g is outside %.4g to %.4g", e.What, e.Value, e.Low, e.High)
}

// Area returns the share of the film that ink covers, 0 to 1, at an ink level
// of 0 to 100 %: the level plus a parabola of dot gain that is largest at 50 %.
func (c Coverage) Area(ink float64) float64 {
	u := ink / 100
	return u + float64(4*c.Gain*u)*(1-u)
}

// UVDensity returns the UV density at an ink level of 0 to 100 %, net above
// clear film: 0 at 0 %, Solid at 100 %.
func (c Coverage) UVDensity(ink float64) (density.Density, error) {
	if !(ink >= 0 && ink <= 100) {
		return 0, &RangeError{"ink", ink, 0, 100}
	}
	return AreaDensity(c.Area(ink), c.Solid), nil
}

// Ink returns the ink level, %, whose UV density is d: the inverse of
// UVDensity. It fails with *RangeError when d is outside 0 to Solid.
func (c Coverage) Ink(d density.Density) (float64, error) {
	if !(d >= 0 && d <= c.Solid) {
		return 0, &RangeError{"UV density", float64(d), 0, float64(c.Solid)}
	}
	area := DotArea(d, c.Solid)
	g := 4 * c.Gain
	// (1+g) u - g u² = area, in the form that does not cancel for small g.
	b := 1 + g
	return 100 * 2 * area / (b + math.Sqrt(b*b-4*g*area)), nil
}

// AreaDensity returns the density of an area whose share covered (0 to 1) has
// density solid while the rest is clear.
func AreaDensity(covered float64, solid density.Density) density.Density {
	return density.Density(-math.Log10(1 - float64(covered*(1-float64(solid.Reflectance())))))
}

// DotArea returns the share covered, 0 to 1, that gives the density tint where
// solid cover gives solid (Murray-Davies); both net of the base.
func DotArea(tint, solid density.Density) float64 {
	return (1 - float64(tint.Reflectance())) / (1 - float64(solid.Reflectance()))
}

// logSlope returns the logarithm of dUV/du at share u of the ramp (0 to 1).
func (c Coverage) logSlope(u float64) float64 {
	q := 1 - float64(c.Solid.Reflectance())
	rise := 1 + 4*c.Gain*(1-2*u)
	return math.Log(q*rise/(1-c.Area(100*u)*q)) - math.Log(math.Ln10)
}
