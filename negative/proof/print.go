package proof

import (
	"actinic/negative/tone"
	"actinic/process/density"
)

// Curve is a calibration's ink curve that also knows the print: what lightness
// a film ink gives on paper.
type Curve interface {
	tone.Curve
	// PrintLightness returns the L* of the print under a film ink, 0 to 100.
	PrintLightness(ink float64) density.Lightness
}

// Expectation is one tone on its way to the print.
type Expectation struct {
	Tone  float64           // of the picture, L* 0 to 100
	Ink   float64           // of the film, %
	Print density.Lightness // to expect
}

// Expect returns what the print is expected to show for each picture tone.
// With positive, a film positive's: tone to 100 - tone before the curve.
func Expect(c Curve, positive bool, tones ...float64) []Expectation {
	out := make([]Expectation, len(tones))
	for i, t := range tones {
		film := t
		if positive {
			film = 100 - t
		}
		ink := c.Ink(film)
		out[i] = Expectation{t, ink, c.PrintLightness(ink)}
	}
	return out
}

// printed is a tone curve whose printer is a screen: tone to ink to print to
// the print's colour as sRGB. The stages that make a negative make a proof of
// it.
type printed struct {
	Curve
	hue Hue
}

func (p printed) Device(ink float64) [3]float64 { return p.hue.At(p.PrintLightness(ink)).SRGB() }
func (p printed) Neutral() bool                 { return false }

// shown is the last step alone, for rows that are the print's light already.
type shown struct{ hue Hue }

func (s shown) Ink(l float64) float64       { return l }
func (s shown) Device(l float64) [3]float64 { return s.hue.At(density.Lightness(l)).SRGB() }
func (s shown) Neutral() bool               { return false }
