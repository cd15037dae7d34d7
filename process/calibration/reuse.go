package calibration

import (
	"math"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/monotone"
	"actinic/process/sensitometry"
)

// mismatch is how much the UV density of an ink may differ between two
// sensitisers under one lamp, as a share of it: a working value of ours, the
// prior of the doubt when another calibration's ink is reused.
const mismatch = 0.03

// reused prints another calibration's ink on a paper known from a step tablet
// alone.
type reused struct {
	paper *Estimate
	curve *sensitometry.Curve
	uv    *monotone.Curve // of film ink
	ink   *Ink
}

// Reuse makes a calibration from a step tablet alone, with the UV density of
// the ink from another calibration. It takes for granted that the lamp is the
// same and the sensitiser sees a like part of its light, to 3 % of density.
func (e *Estimate) Reuse(other *Calibration, rq Request) (*Calibration, error) {
	if !e.HasTablet() {
		return nil, fault.New("", "", "reusing an ink needs a step tablet on the new paper", "give --tablet")
	}
	if other.Ink.UVDensity == nil {
		return nil, fault.New("", "", "the other calibration was made without a step tablet: the UV density of its ink is not known",
			"calibrate the ink once with a step tablet in the chart's window")
	}
	uv, err := monotone.New(other.Ink.Percent, other.Ink.UVDensity)
	if err != nil {
		return nil, err
	}
	r := &reused{paper: e, curve: e.Curve(), uv: uv, ink: &other.Ink}
	c := newCalibration(rq, e.inputs(), other.Ink.Path)
	c.Ink.fill(r, true)
	curve := r.curve
	reach := ends{black: curve.Black().Lightness(), white: (curve.Paper + toe).Lightness(), low: 0, high: 100}
	if err := c.draw(r, rq.Aim, reach, true); err != nil {
		return nil, fault.InFile(err, e.prints[0].Tablet.File)
	}
	c.Characteristic = e.characteristic()
	full, sd := r.UVDensity(100)
	c.Ink.Range = &Value{float64(full), sd}
	c.Exposure = e.exposure(rq)
	c.Quality = e.quality()
	c.Cautions = append(c.Cautions, "The ink's UV density comes from another calibration: it holds under the same lamp for a sensitiser that sees a like part of its light. The doubt includes 3 % of density for that; one confirming chart would replace it.")
	c.Cautions = append(c.Cautions, e.cautions(c)...)
	return c, nil
}

// UVDensity returns the other calibration's UV density, its doubt widened by
// the mismatch.
func (r *reused) UVDensity(ink float64) (density.Density, float64) {
	d := r.uv.Held(ink)
	return density.Density(d), math.Hypot(r.ink.sdAt(ink), mismatch*d)
}

// sdAt is the standard uncertainty of UV density between the nodes.
func (k *Ink) sdAt(ink float64) float64 {
	i := 1
	for i < len(k.Percent)-1 && ink > k.Percent[i] {
		i++
	}
	t := (ink - k.Percent[i-1]) / (k.Percent[i] - k.Percent[i-1])
	return k.SD[i-1] + t*(k.SD[i]-k.SD[i-1])
}

// PrintLightness returns the print tone with the doubt of paper and ink.
func (r *reused) PrintLightness(ink float64) (density.Lightness, float64) {
	uv, sd := r.UVDensity(ink)
	x := -density.LogExposure(uv)
	d, paperSD := r.paper.PrintDensity(x)
	fromInk := r.curve.Gradient(x) * sd
	return d.Lightness(), -d.LightnessSlope() * math.Hypot(paperSD, fromInk)
}

func (r *reused) tone(ink float64) density.Lightness {
	return r.curve.Density(-density.LogExposure(r.uv.Held(ink))).Lightness()
}
