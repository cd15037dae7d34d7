// Package density holds the photometric quantities that every other package
// speaks in, as types that cannot be mixed up, and the conversions between
// them: optical density, reflectance, CIE lightness and log exposure.
//
// It refuses nothing: values outside the physical range convert to what the
// formulas say, and packages that take readings from people check them first.
package density

import "math"

// Density is an optical density, log10 of 1/transmittance or 1/reflectance
// (ISO 5-1:2009). Which of the two is said where the value is used.
type Density float64

// LogExposure is log10 of exposure, relative: 0 is what reaches the paper
// through clear film in the calibration's first print.
type LogExposure float64

// Lightness is CIE 1976 L*, 0 (black) to 100 (perfect white)
// (CIE 15:2018, ISO/CIE 11664-4).
type Lightness float64

// Reflectance is a reflectance factor or a transmittance, 0 to 1; as the
// luminance factor Y/Yn of a neutral it converts to Lightness.
type Reflectance float64

// The constants of the CIE 1976 lightness function in their exact rational
// form (CIE 15:2018, 8.2.1): above epsilon the cube root, below it a line.
const (
	epsilon = 216.0 / 24389.0
	kappa   = 24389.0 / 27.0
)

// Stop is one photographic stop in log10 units, log10 2.
const Stop = 0.30102999566398119521

// Reflectance returns 10^-d.
func (d Density) Reflectance() Reflectance {
	return Reflectance(math.Pow(10, -float64(d)))
}

// Lightness returns the L* of a neutral with density d.
func (d Density) Lightness() Lightness { return d.Reflectance().Lightness() }

// LightnessSlope returns dL*/dD at density d, always negative: about -76 at
// D 0.2, -52 at D 0.7, -30 at D 1.4.
func (d Density) LightnessSlope() float64 {
	y := float64(d.Reflectance())
	if y > epsilon {
		return -math.Ln10 * 116.0 / 3.0 * math.Cbrt(y)
	}
	return -math.Ln10 * kappa * y
}

// Density returns -log10 r. It is +Inf for zero and NaN for negative values.
func (r Reflectance) Density() Density { return Density(-math.Log10(float64(r))) }

// Lightness returns L* of the luminance factor r.
func (r Reflectance) Lightness() Lightness {
	y := float64(r)
	if y > epsilon {
		return Lightness(116*math.Cbrt(y) - 16)
	}
	return Lightness(kappa * y)
}

// Reflectance returns the luminance factor Y/Yn that has lightness l.
func (l Lightness) Reflectance() Reflectance {
	if l > 8 {
		f := (float64(l) + 16) / 116
		return Reflectance(f * f * f)
	}
	return Reflectance(float64(l) / kappa)
}

// Density returns the density of a neutral with lightness l: +Inf at L* 0,
// negative above L* 100.
func (l Lightness) Density() Density { return l.Reflectance().Density() }
