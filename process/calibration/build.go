package calibration

import (
	"math"
	"time"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure"
)

// Request says what to build of a fit.
type Request struct {
	Aim   Aim
	Setup Setup
	// Conditions are those of the prints.
	Conditions Conditions
	Made       time.Time
	Exposure   float64 // given to the first print, in Unit; 0 when not known
	Unit       string
	Cautions   []string // of the process; go to the front of the file's cautions
	Falling    bool
	// Mismatch is how much another calibration's ink may differ under this
	// sensitiser, sd as a share of UV density; 0 means the usual. For Reuse.
	Mismatch float64
	// Path is the way through printer RGB that the ramps were printed by; nil takes
	// it from their readings.
	Path []PathNode
}

// tones is what a curve is built on: how film ink prints, and what it stops.
type tones interface {
	PrintLightness(ink float64) (density.Lightness, float64)
	UVDensity(ink float64) (density.Density, float64)
	tone(ink float64) density.Lightness // PrintLightness without the doubt, which costs most
	meanOf() int                        // how many prints the tones are the mean of
}

// The columns' lengths: a curve node every 100/1024 of tone, an ink node every
// half per cent.
const (
	curveNodes = 1025
	inkNodes   = 201
)

// Build makes the calibration of an estimate that holds a ramp.
func (e *Estimate) Build(rq Request) (*Calibration, error) {
	if !e.HasRamp() {
		return nil, errNeedsInk
	}
	ramps := e.ramps()
	path, err := rq.path(ramps)
	if err != nil {
		return nil, err
	}
	low, high, err := inkSpan(ramps, e.Reversed)
	if err != nil {
		return nil, err
	}
	c := newCalibration(rq, e.inputs(), path)
	c.Ink.fill(e, e.HasTablet())
	c.Doubt = e.doubt(c.Ink.Percent)
	curve := e.Curve()
	ends := ends{black: curve.Black().Lightness(), white: (curve.Paper + toe).Lightness(), low: low, high: high}
	if err := c.draw(e, rq.Aim, ends, e.HasTablet()); err != nil {
		return nil, fault.InFile(err, ramps[0].File)
	}
	if e.HasTablet() {
		c.Characteristic = e.characteristic()
		full, sd := e.UVDensity(100)
		c.Ink.Range = &Value{float64(full), sd}
	}
	c.Exposure = e.exposure(rq)
	c.Quality = e.quality()
	c.Cautions = append(c.Cautions, e.cautions(c)...)
	return c, nil
}

func newCalibration(rq Request, inputs []Input, path []PathNode) *Calibration {
	return &Calibration{Format: FileFormat, Version: FileVersion, Made: rq.Made.UTC().Truncate(time.Second),
		Inputs: inputs, Setup: rq.Setup, Conditions: rq.Conditions, Ink: Ink{Path: path, Falling: rq.Falling},
		Cautions: append([]string{}, rq.Cautions...)}
}

// fill writes the ink columns.
func (k *Ink) fill(t tones, withDensity bool) {
	for i := range inkNodes {
		p := 100 * float64(i) / (inkNodes - 1)
		l, lsd := t.PrintLightness(p)
		k.Percent = append(k.Percent, p)
		k.PrintLstar = append(k.PrintLstar, float64(l))
		k.PrintSD = append(k.PrintSD, lsd)
		if withDensity {
			d, sd := t.UVDensity(p)
			k.UVDensity = append(k.UVDensity, float64(d))
			k.SD = append(k.SD, sd)
		}
	}
}

func (e *Estimate) ramps() []*measure.Table {
	var out []*measure.Table
	for _, p := range e.prints {
		if p.Ramp != nil {
			out = append(out, p.Ramp)
		}
	}
	return out
}

func (e *Estimate) inputs() []Input {
	var out []Input
	for _, p := range e.prints {
		for _, t := range []*measure.Table{p.Ramp, p.Tablet} {
			if t != nil {
				out = append(out, Input{t.Name, t.SHA256})
			}
		}
	}
	return out
}

// known returns v, or nil for null in the file.
func known(v Value) Optional {
	if !v.Known() {
		return nil
	}
	return &v
}

// logStep is the distance of the characteristic curve's nodes.
const logStep = 0.05

func (e *Estimate) characteristic() *Characteristic {
	s := e.Sensitometry()
	c := &Characteristic{PaperDensity: known(s.PaperDensity), MaximumDensity: known(s.MaximumDensity),
		ExposureScale: known(s.ExposureScale), NeededRange: known(s.NeededRange), AverageGradient: known(s.AverageGradient)}
	low, high := e.fit.tabletSpan()
	n := int(math.Ceil((high-low)/logStep)) + 1
	for i := range n {
		x := low + (high-low)*float64(i)/float64(n-1)
		d, sd := e.PrintDensity(density.LogExposure(x))
		c.LogExposure = append(c.LogExposure, x)
		c.PrintDensity = append(c.PrintDensity, float64(d))
		c.PrintDensitySD = append(c.PrintDensitySD, sd)
	}
	if e.fit.cutOut {
		c.FilmBase = &Value{e.fit.mean[atBase], math.Sqrt(e.fit.covariance.At(atBase, atBase))}
	}
	for _, r := range e.Reversed {
		if !math.IsNaN(r.Tablet) {
			limit := -r.Tablet
			c.UpperLimit = &limit
		}
	}
	return c
}

// tabletSpan is the log exposure from the least to the most exposed step.
func (f *fitted) tabletSpan() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	ev := f.curves()
	for i := range f.obs {
		if !math.IsNaN(f.obs[i].tablet) {
			x := ev.exposure(&f.obs[i])
			low, high = math.Min(low, x), math.Max(high, x)
		}
	}
	return low, high
}

func (e *Estimate) exposure(rq Request) Exposure {
	x := Exposure{Unit: rq.Unit}
	if first := e.prints[0].Exposure; first > 0 { // the first that was not left out
		rq.Exposure = first
	}
	if rq.Exposure > 0 {
		given := rq.Exposure
		x.Given = &given
		if e.HasTablet() {
			x.FirstBlack = known(e.FirstBlack(rq.Exposure))
		}
	}
	x.Prints = e.printExposures()
	return x
}

func (e *Estimate) parameter(i int) Value {
	return Value{e.fit.mean[i], math.Sqrt(e.fit.covariance.At(i, i))}
}

func (e *Estimate) quality() Quality {
	l, d := e.Noise()
	q := Quality{RMSLstar: e.Misfit(), Freedom: e.DegreesOfFreedom(), Readings: len(e.fit.obs), Outliers: e.Outliers(), Unevenness: e.Unevenness()}
	if !math.IsNaN(l) {
		q.NoiseLstar = &l
	}
	if !math.IsNaN(d) {
		q.NoiseDensity = &d
	}
	for _, f := range e.Flagged {
		if !f.Used {
			q.Flagged = append(q.Flagged, f.Readings...)
		}
	}
	for _, r := range e.Reversed {
		q.Reversed = append(q.Reversed, r.IDs...)
	}
	return q
}
