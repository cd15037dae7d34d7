package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// view is the curve at the coefficients. Their part of the curve is added to print
// tones as a linear term, which is what its doubt is worth: as parameters they would
// bend the curve far beyond the tablets' steps.
type view struct {
	f      *colourFit
	ev     *evaluator // at the tablets' parameters, with the deviations of loose sheets
	curves []sheetCurve
	shift  []float64 // of the parameters
	row    []float64 // of derivatives, of the last reading looked at
}

func (f *colourFit) view() *view {
	fit, k := f.estimate.fit, f.curves()
	p := slices.Clone(fit.mean)
	for i, sheet := range f.loose {
		copy(p[fit.deviation(sheet):], f.shared[k+deviations*i:k+deviations*(i+1)])
	}
	v := &view{f: f, ev: fit.at(p), shift: f.shift(), row: make([]float64, fit.size())}
	for sheet := range f.sheets {
		v.curves = append(v.curves, v.ev.sheetCurve(sheet))
	}
	return v
}

// shift is how far the coefficients move the curve's parameters.
func (f *colourFit) shift() []float64 {
	k := f.curves()
	var out, give mat.VecDense
	out.MulVec(f.modes, mat.NewVecDense(k, f.shared[:k]))
	if f.gain != nil {
		change := f.surfacesAt()
		floats.Sub(change, f.fittedAt)
		give.MulVec(f.gain, mat.NewVecDense(len(change), change))
		out.SubVec(&out, &give)
	}
	return out.RawVector().Data
}

// tone is what a reading should be when its colour stops uv, and its slope.
func (v *view) tone(r *colourReading, uv float64) (tone, slope float64) {
	even := v.curves[r.print]
	c := v.f.placed(even, r)
	tone, slope = c.tone(uv, r.unit)
	o := r.observation
	o.tablet = uv - (c.exposure-even.exposure)/c.contrast // the same log exposure on an even sheet
	v.ev.reading(&o, v.row)
	return tone + floats.Dot(v.row, v.shift), slope
}

// placed is the curve of an even sheet at the place of a reading.
func (f *colourFit) placed(c sheetCurve, r *colourReading) sheetCurve {
	if r.terms == nil {
		return c
	}
	s := f.shared[len(f.shared)-f.uneven.size():]
	return c.placed(f.uneven.exposure(s, r.print, r.terms), f.uneven.coating(s, r.print, r.terms))
}

// sheetCurve is the characteristic curve of one sheet.
type sheetCurve struct {
	form               *sensitometry.Form
	paper, net         float64
	exposure, contrast float64 // added to log exposure, and stretching it
}

// sheetCurve returns the curve of a sheet.
func (e *evaluator) sheetCurve(sheet int) sheetCurve {
	c := sheetCurve{form: e.form, paper: e.p[atPaper], net: math.Exp(e.p[atNet]), contrast: 1}
	if dev := e.m.deviation(sheet); dev >= 0 {
		c.paper += e.p[dev]
		c.net *= math.Exp(e.p[dev+1])
		c.exposure, c.contrast = e.p[dev+2], math.Exp(e.p[dev+3])
	}
	return c
}

// at is the common curve's log exposure under a UV density; stopping is its
// inverse.
func (c sheetCurve) at(uv float64) float64 { return c.exposure + stretched(-uv, c.contrast) }

func (c sheetCurve) stopping(x float64) float64 {
	return -(sensitometry.Pivot + (x-c.exposure-sensitometry.Pivot)/c.contrast)
}

// placed is the curve at a place, where light and coating differ from the mean by
// a log exposure and a log of net density.
func (c sheetCurve) placed(light, coating float64) sheetCurve {
	c.exposure += light
	c.net *= math.Exp(coating)
	return c
}

// tone is the print under a UV density in a unit, and its slope.
func (c sheetCurve) tone(uv float64, unit measure.Unit) (value, byUV float64) {
	x := density.LogExposure(c.at(uv))
	d := density.Density(c.paper + c.net*c.form.Share(x))
	byUV = -c.net * c.form.Gradient(x) * c.contrast
	if unit == measure.InDensity {
		return float64(d), byUV
	}
	return float64(d.Lightness()), byUV * d.LightnessSlope()
}

// byPlace is the slope of the print by log exposure and by log net density.
func (c sheetCurve) byPlace(uv float64, unit measure.Unit) (byLight, byCoating float64) {
	x := density.LogExposure(c.at(uv))
	byLight, byCoating = c.net*c.form.Gradient(x), c.net*c.form.Share(x)
	if unit == measure.InDensity {
		return byLight, byCoating
	}
	slope := density.Density(c.paper + byCoating).LightnessSlope()
	return slope * byLight, slope * byCoating
}
