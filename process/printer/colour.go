package printer

import "math"

// RGB is a printer colour: red, green and blue code values, each 0 to 255. Clear
// film is 255, 255, 255.
type RGB [3]float64

// Clear is the colour that prints nothing.
var Clear = RGB{255, 255, 255}

// Colour is one printer colour and what it stops, net above clear film. Beyond
// the reach of the prints UVDensity is NaN and one of the bounds is known.
type Colour struct {
	RGB       RGB
	UVDensity float64 // log10; NaN beyond reach
	SD        float64 // its standard uncertainty; NaN beyond reach
	AtLeast   float64 // 95 % bound; NaN if none
	AtMost    float64 // 95 % bound; NaN if none
}

// Known says whether the prints reach the colour.
func (c Colour) Known() bool { return !math.IsNaN(c.UVDensity) }

// Predictor tells the UV density of any colour with its standard uncertainty. A
// Model is one.
type Predictor interface {
	UVDensity(c RGB) (uv, sd float64)
}
