package calibration

import (
	"math"

	"actinic/process/density"
)

// Line is one curve of a calibration as a plot needs it. Low and High are the
// ends of its 95 % band, nil where there is none.
type Line struct {
	X, Y      []float64
	Low, High []float64
}

// coverage95 is how many standard uncertainties a 95 % band reaches.
const coverage95 = 1.96

func (l *Line) add(x, y, sd float64) {
	l.X, l.Y = append(l.X, x), append(l.Y, y)
	l.Low, l.High = append(l.Low, y-coverage95*sd), append(l.High, y+coverage95*sd)
}

// Scatter is a set of readings as a plot needs it.
type Scatter struct{ X, Y []float64 }

func (s *Scatter) add(x, y float64) { s.X, s.Y = append(s.X, x), append(s.Y, y) }

// Landmark is a named place on an axis: on the upright one unless Upright says
// that its line stands upright.
type Landmark struct {
	Name    string
	At      float64
	Upright bool
}

// lineSteps is how many pieces a line is drawn in.
const lineSteps = 200

// CharacteristicLine returns print density against log exposure over the span
// that the tablet readings cover.
func (e *Estimate) CharacteristicLine() Line {
	var l Line
	low, high := e.fit.tabletSpan()
	for i := range lineSteps + 1 {
		x := low + (high-low)*float64(i)/lineSteps
		d, sd := e.PrintDensity(density.LogExposure(x))
		l.add(x, float64(d), sd)
	}
	return l
}

// TabletPoints returns print density against log exposure of the tablet
// readings, those that the fit does not believe apart.
func (e *Estimate) TabletPoints() (good, spoiled Scatter) {
	ev := e.fit.curves()
	for i, o := range e.fit.obs {
		if math.IsNaN(o.tablet) {
			continue
		}
		to := &good
		if math.Abs(e.fit.residual[i]) >= outlierAt*e.fit.noise.of(&o) {
			to = &spoiled
		}
		to.add(ev.exposure(&o), float64(o.table.Readings[o.index].Density()))
	}
	return good, spoiled
}

// Landmarks returns what the trade reads off a characteristic curve, as far as
// the readings reach.
func (e *Estimate) Landmarks() []Landmark {
	s := e.Sensitometry()
	var out []Landmark
	for _, m := range []struct {
		name    string
		v       Value
		upright bool
	}{
		{"paper", s.PaperDensity, false}, {"maximum", s.MaximumDensity, false},
		{"first tone", s.Toe, true}, {"black", s.Black, true},
	} {
		if m.v.Known() {
			out = append(out, Landmark{m.name, m.v.Value, m.upright})
		}
	}
	return out
}

// CharacteristicLine returns print density against log exposure, nothing
// without a step tablet.
func (c *Calibration) CharacteristicLine() Line {
	var l Line
	if k := c.Characteristic; k != nil {
		for i, x := range k.LogExposure {
			l.add(x, k.PrintDensity[i], k.PrintDensitySD[i])
		}
	}
	return l
}

// UVDensityLine returns UV density against film ink, nothing without a step
// tablet.
func (c *Calibration) UVDensityLine() Line {
	var l Line
	for i, d := range c.Ink.UVDensity {
		l.add(c.Ink.Percent[i], d, c.Ink.SD[i])
	}
	return l
}

// CurveLine returns film ink against picture tone, without a band: the curve is
// what will be done, not what is believed.
func (c *Calibration) CurveLine() Line { return Line{X: c.Curve.Tone, Y: c.Curve.Ink} }

// ExpectedPrint returns the print's L* against picture tone, with the doubt of
// the calibration and the usual scatter from print to print, and the aim.
func (c *Calibration) ExpectedPrint() (expected, aim Line, err error) {
	k, err := c.InkCurve()
	if err != nil {
		return Line{}, Line{}, err
	}
	for i, tone := range c.Curve.Tone {
		expected.add(tone, float64(k.PrintLightness(c.Curve.Ink[i])), c.Curve.PrintSD[i])
	}
	return expected, Line{X: c.Curve.Tone, Y: c.Curve.AimLstar}, nil
}

// InkLandmarks returns what bounds the UV density of the ink: its range, the
// density that picture white takes at the exposure given, and the needed range.
// There are none without a step tablet.
func (c *Calibration) InkLandmarks() []Landmark {
	var out []Landmark
	if c.Ink.Range != nil {
		out = append(out, Landmark{"ink range", c.Ink.Range.Value, false})
	}
	if uv := c.Curve.UVDensity; len(uv) > 0 {
		out = append(out, Landmark{"picture white", max(uv[0], uv[len(uv)-1]), false})
	}
	if k := c.Characteristic; k != nil && k.NeededRange != nil {
		out = append(out, Landmark{"needed range", k.NeededRange.Value, false})
	}
	return out
}

// PrintLine returns the print's L* against film ink, with the doubt of the
// calibration.
func (c *Calibration) PrintLine() Line {
	var l Line
	for i, tone := range c.Ink.PrintLstar {
		l.add(c.Ink.Percent[i], tone, c.Ink.PrintSD[i])
	}
	return l
}

// RampScatter are the readings of one file of a ramp: L* against film ink.
type RampScatter struct {
	File          string // base name
	Good, Spoiled Scatter
}

// RampPoints returns the readings of all ramps, file by file, as they were read: each
// print's own exposure, paper and unevenness are in them. Those that the fit does not
// believe stand apart.
func (e *Estimate) RampPoints() []RampScatter {
	doubted := map[[2]string]bool{}
	for _, o := range e.Outliers() {
		doubted[[2]string{o.File, o.ID}] = true
	}
	var out []RampScatter
	for _, t := range e.ramps() {
		if n := len(out); n == 0 || out[n-1].File != t.Name {
			out = append(out, RampScatter{File: t.Name}) // pages of one chart follow each other
		}
		all := &out[len(out)-1]
		for _, r := range t.Readings {
			to := &all.Good
			if doubted[[2]string{t.Name, r.ID}] {
				to = &all.Spoiled
			}
			to.add(r.Ink, float64(r.Lightness()))
		}
	}
	return out
}
