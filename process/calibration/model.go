package calibration

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/monotone"
	"actinic/process/opacity"
	"actinic/process/sensitometry"
)

// observation is one reading as the fit sees it.
type observation struct {
	print  int
	tablet float64 // tablet density; NaN for a film-ink patch
	ink    float64 // film ink, %; NaN for a tablet patch
	cutOut bool    // the tablet lay in a cut-out of the film
	value  float64 // print density or L*, as read
	unit   measure.Unit
	scale  float64 // standard uncertainty as given, or 1
	group  int     // readings whose noise is estimated together
	table  *measure.Table
	index  int       // of the reading in its table
	terms  []float64 // of unevenness at its place; nil where that is not known
	beyond float64   // log exposure that the model does not account for
}

// model maps a parameter vector to what each observation should read:
//
//	paper, log net density, film base | form of the characteristic curve | ink ramp | four deviations a print | surfaces
//
// The film base is free only when a step tablet lay in a cut-out of the film.
// The deviations (paper, log net density, log exposure, log contrast) exist
// only when there are several prints; the first print's exposure is the origin.
// The surfaces exist only where patches say where they lie; without them a
// parameter vector describes even sheets.
type model struct {
	obs     []observation
	prints  int
	grid    monotone.Grid // of the characteristic curve's correction
	falling bool
	cutOut  bool // some tablet lay in a cut-out
	untied  bool // no step tablet: log exposure has no measure of its own
	nForm   int
	nRamp   int // 0 when no print holds a ramp
	uneven  surfaces
	loose   []loosened // by print; nil when none is known to differ
}

// Where the parameters stand.
const (
	atPaper    = 0
	atNet      = 1
	atBase     = 2
	atForm     = 3
	deviations = 4 // a print
)

// atRamp is where the ramp's parameters start.
func (m *model) atRamp() int { return atForm + m.nForm }

// atCorrection is where the ramp's correction starts.
func (m *model) atCorrection() int { return m.atRamp() + opacity.Parameters() - opacity.RampGrid.Knots }

func (m *model) size() int { return m.core() + m.uneven.size() }

// core is the number of parameters without the surfaces.
func (m *model) core() int {
	n := m.atRamp() + m.nRamp
	if m.prints > 1 {
		n += deviations * m.prints
	}
	return n
}

func (m *model) form(p []float64) *sensitometry.Form {
	return sensitometry.NewForm(m.grid, p[atForm:m.atRamp()], m.falling)
}

func (m *model) ramp(p []float64) *opacity.Ramp {
	return opacity.NewRamp(p[m.atRamp() : m.atRamp()+m.nRamp])
}

// deviation returns where print k's four deviations stand; -1 when there is one
// print only, and for the common curve, whose number is -1.
func (m *model) deviation(k int) int {
	if m.prints < 2 || k < 0 {
		return -1
	}
	return m.atRamp() + m.nRamp + deviations*k
}

// evaluator holds the curves of one parameter vector.
type evaluator struct {
	m     *model
	p     []float64
	bumps []float64 // the surfaces' parameters; nil for even sheets
	form  *sensitometry.Form
	ramp  *opacity.Ramp
	sForm []float64
	sRamp []float64
}

func (m *model) at(p []float64) *evaluator {
	e := &evaluator{m: m, p: p, bumps: p[m.core():], form: m.form(p), sForm: make([]float64, m.nForm), sRamp: make([]float64, m.nRamp)}
	if m.nRamp > 0 {
		e.ramp = m.ramp(p)
	}
	return e
}

// density returns the print density of an observation and, when row is not
// nil, writes its derivatives by all parameters into it.
func (e *evaluator) density(o *observation, row []float64) float64 {
	paper, logNet, shift, stretch := e.p[atPaper], e.p[atNet], 0.0, 1.0
	dev := e.m.deviation(o.print)
	if dev >= 0 {
		paper += e.p[dev]
		logNet += e.p[dev+1]
		shift, stretch = e.p[dev+2], math.Exp(e.p[dev+3])
	}
	stopped := e.stopped(o)
	x := shift + stretched(-stopped, stretch) + e.m.uneven.exposure(e.bumps, o.print, o.terms) + o.beyond
	net := math.Exp(logNet + e.m.uneven.coating(e.bumps, o.print, o.terms))
	if row == nil {
		return paper + net*e.form.Share(density.LogExposure(x))
	}
	clear(row)
	share, byX := e.form.Sensitivity(x, e.sForm)
	row[atPaper], row[atNet] = 1, net*share
	if o.cutOut {
		row[atBase] = net * byX * stretch
	}
	for i, s := range e.sForm {
		row[atForm+i] = net * s
	}
	if math.IsNaN(o.tablet) {
		e.ramp.Sensitivity(o.ink, e.sRamp)
		for i, s := range e.sRamp {
			row[e.m.atRamp()+i] = -net * byX * stretch * s
		}
	}
	if dev >= 0 {
		row[dev], row[dev+1] = 1, net*share
		row[dev+2], row[dev+3] = net*byX, net*byX*stretch*(-stopped-sensitometry.Pivot)
	}
	e.m.uneven.derive(row[e.m.core():], o.print, o.terms, net*byX, net*share)
	return paper + net*share
}

// stopped returns the density between lamp and paper, net above clear film.
func (e *evaluator) stopped(o *observation) float64 {
	d := o.tablet
	if math.IsNaN(d) {
		return float64(e.ramp.UVDensity(o.ink))
	}
	if o.cutOut {
		d -= e.p[atBase]
	}
	return d
}

// exposure returns the log exposure of an observation on the scale of the
// common curve.
func (e *evaluator) exposure(o *observation) float64 {
	place := e.m.uneven.exposure(e.bumps, o.print, o.terms) + o.beyond
	dev := e.m.deviation(o.print)
	if dev < 0 {
		return place - e.stopped(o)
	}
	return place + e.p[dev+2] + stretched(-e.stopped(o), math.Exp(e.p[dev+3]))
}

// stretched is log exposure x stretched about the middle of most prints, so that
// a print's contrast and its exposure are told apart: about clear film, far from
// the mid-tones, the one would stand in for the other.
func stretched(x, by float64) float64 {
	return sensitometry.Pivot + float64(by*(x-sensitometry.Pivot))
}

// reading returns what an observation should read, in its own unit, with the
// derivatives when row is not nil.
func (e *evaluator) reading(o *observation, row []float64) float64 {
	d := density.Density(e.density(o, row))
	if o.unit == measure.InDensity {
		return float64(d)
	}
	if row != nil {
		slope := d.LightnessSlope()
		for i := range row {
			row[i] *= slope
		}
	}
	return float64(d.Lightness())
}

// linearised is the model about one parameter vector: residuals (read minus
// expected) and Jacobian, in the readings' own units.
func (m *model) linearised(p []float64) (residual []float64, jac *mat.Dense) {
	e := m.at(p)
	residual = make([]float64, len(m.obs))
	jac = mat.NewDense(len(m.obs), m.size(), nil)
	for i := range m.obs {
		residual[i] = m.obs[i].value - e.reading(&m.obs[i], jac.RawRowView(i))
	}
	return residual, jac
}
