package control

import (
	"math"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/monotone"
	"actinic/process/sensitometry"
)

// response is how the paper of a calibration answers to log exposure, and what
// each film ink stops of it.
type response struct {
	curve     *monotone.Curve // print density of log exposure
	low, high end
	paper     float64         // print density
	uv        *monotone.Curve // UV density of film ink
}

// end is one end of the curve as it was read: beyond it the density goes on
// towards a limit, by an exponential that leaves with the curve's own slope.
type end struct{ at, density, slope, limit float64 }

func (e end) value(x float64) (density, slope float64) {
	room := e.limit - e.density
	by := e.slope * (x - e.at)
	if !(room*by > 0) { // no room or no slope: level
		return e.density, 0
	}
	left := math.Exp(-by / room)
	return e.limit - room*left, e.slope * left
}

// newResponse returns the response of a calibration, or the reason why it has
// none.
func newResponse(c *calibration.Calibration) (*response, string) {
	k := c.Characteristic
	if k == nil || c.Ink.UVDensity == nil {
		return nil, "the calibration was made without a step tablet: it does not know how far print tone moves with exposure"
	}
	curve, err := monotone.New(k.LogExposure, k.PrintDensity)
	if err != nil {
		return nil, "the calibration's characteristic curve turns back: " + err.Error()
	}
	uv, err := monotone.New(c.Ink.Percent, c.Ink.UVDensity)
	if err != nil {
		return nil, "the calibration's UV density turns back: " + err.Error()
	}
	r := &response{curve: curve, uv: uv}
	lightest, darkest := curve.Range()
	r.paper = lightest
	if k.PaperDensity != nil {
		r.paper = math.Min(lightest, k.PaperDensity.Value)
	}
	if k.MaximumDensity != nil {
		darkest = math.Max(darkest, k.MaximumDensity.Value)
	}
	limits := [2]float64{r.paper, darkest}
	if !curve.Rising() {
		limits[0], limits[1] = limits[1], limits[0]
	}
	first, last := curve.Domain()
	r.low, r.high = r.endAt(first, limits[0]), r.endAt(last, limits[1])
	return r, ""
}

func (r *response) endAt(x, limit float64) end {
	slope, _ := r.curve.Slope(x) // x is in the domain
	return end{x, r.curve.Held(x), slope, limit}
}

// density returns the print density at log exposure x and its slope there.
func (r *response) density(x float64) (d, slope float64) {
	switch {
	case x < r.low.at:
		d, slope = r.low.value(x)
	case x > r.high.at:
		d, slope = r.high.value(x)
	default:
		d = r.curve.Held(x)
		slope, _ = r.curve.Slope(x)
	}
	return d, slope
}

// exposure returns the log exposure that prints density d, false where the curve
// was not read there.
func (r *response) exposure(d float64) (float64, bool) {
	x, err := r.curve.Inverse(d)
	return x, err == nil
}

// The ways in which a print differs, as the calibration's own model has them.
const (
	ofPaper    = iota // print density
	ofDepth           // log of the factor on net density
	ofExposure        // log exposure
	ofContrast        // log of the stretch about sensitometry.Pivot
	ways
)

// differs returns by how much a print that differs by theta is lighter under UV
// density uv than one that does not, in L*, and the derivatives.
func (r *response) differs(uv float64, theta [ways]float64) (lstar float64, by [ways]float64) {
	stretch := math.Exp(theta[ofContrast])
	along := float64(stretch * (-uv - sensitometry.Pivot))
	x := theta[ofExposure] + sensitometry.Pivot + along
	d, slope := r.density(x)
	factor := math.Exp(theta[ofDepth])
	net := float64(factor * (d - r.paper))
	printed := density.Density(r.paper + theta[ofPaper] + net)
	plain, _ := r.density(-uv)
	toL := printed.LightnessSlope()
	by = [ways]float64{toL, toL * net, toL * factor * slope, toL * factor * slope * along}
	return float64(printed.Lightness() - density.Density(plain).Lightness()), by
}
