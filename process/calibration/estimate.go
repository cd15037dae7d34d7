package calibration

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"actinic/process/density"
	"actinic/process/measure"
	"actinic/process/sensitometry"
)

// Print is what was read from one print: a ramp, a step tablet, or both.
type Print struct {
	Tablet *measure.Table // nil when there was none
	Ramp   *measure.Table // nil when there was none
	CutOut bool           // the tablet lay in a cut-out of the film, not over it
	// Exposure is what the print was given, in the same unit for all; 0 when not
	// known. Prints whose exposures are not known are taken to have had the same.
	Exposure float64

	number int // among those given, from 1
}

// Options of a fit; nil is the same as the zero value.
type Options struct {
	Falling bool // print density falls with exposure: positive-working processes
	// KeepUnevenness leaves the unevenness of light and coating in the readings,
	// though they say where their patches lie.
	KeepUnevenness bool
	// KeepPrints keeps prints in the fit whose ink or paper disagrees with that of
	// the others. They are named all the same.
	KeepPrints bool
}

// Estimate is a fit to one or several prints: what the readings say about
// paper, ink and exposure, with its doubt.
type Estimate struct {
	fit      *fitted
	prints   []Print
	Reversed []Reversal     // readings left out because tone turned back
	Flagged  []FlaggedTable // readings that their file flags
	// Agreement is how each print stands to the others, those that were left out
	// included; nil for one print, and for prints without ramps.
	Agreement []Agreement
}

// Fit fits the model of a setup to prints. Every print needs a tablet or a
// ramp, of the kinds that its fields say.
//
// The pages of a chart of several are prints of their own: each was coated and
// exposed by itself. Readings that their file flags as not to be trusted are left out and named by
// Flagged. Where patches say where they lie, uneven light and coating are taken
// out of the readings; see Unevenness.
//
// Readings that a spot or a finger mark spoiled lose their weight and are named
// by Outliers. The most exposed readings that turn back are left out and named
// by Reversed. Prints that differ more than honest prints do are named by
// Agreement: a difference in exposure, contrast, paper or black is taken out by
// the print's own; of a print of another ink only the tablet is kept, one of
// another paper is left out, as long as others remain; of two prints the later.
// Too few readings, readings that run the wrong way, or that turn
// back elsewhere are a *fault.Error.
func Fit(prints []Print, o *Options) (*Estimate, error) {
	if o == nil {
		o = &Options{}
	}
	prints, flagged := leaveOutFlagged(prints)
	prints = eachSheet(numbered(prints))
	if err := checkPrints(prints, o); err != nil {
		return nil, err
	}
	kept, reversed, err := trimReversals(prints, o)
	if err != nil {
		return nil, err
	}
	e := &Estimate{prints: kept, Reversed: reversed, Flagged: flagged}
	if err := e.solve(o, nil); err != nil {
		return nil, err
	}
	if e.Agreement = e.agreement(); e.Agreement != nil {
		if err := e.mend(o); err != nil {
			return nil, err
		}
	}
	e.fit.toMeanPrint()
	return e, nil
}

// solve fits the estimate's prints.
func (e *Estimate) solve(o *Options, loose []loosened) error {
	m, start := collect(e.prints, o)
	m.loose = loose
	fit, err := m.solve(start)
	if err != nil {
		return fmt.Errorf("the fit did not settle: %w", err)
	}
	e.fit = fit
	return nil
}

// numbered returns prints that know their number.
func numbered(prints []Print) []Print {
	out := slices.Clone(prints)
	for k := range out {
		out[k].number = k + 1
	}
	return out
}

// HasTablet says whether a step tablet gave log exposure its measure. Without
// one UV density and exposure scale are not known.
func (e *Estimate) HasTablet() bool { return !e.fit.untied }

// HasRamp says whether film ink was read.
func (e *Estimate) HasRamp() bool {
	for _, p := range e.prints {
		if p.Ramp != nil {
			return true
		}
	}
	return false
}

// PrintLightness returns the L* that the print shows at a film ink of 0 to
// 100 %, with its standard uncertainty; that of scans is in it.
func (e *Estimate) PrintLightness(ink float64) (density.Lightness, float64) {
	o := observation{print: common, tablet: math.NaN(), ink: ink, unit: measure.InLightness}
	row := make([]float64, e.fit.size())
	l := e.fit.curves().reading(&o, row)
	return density.Lightness(l), math.Hypot(e.fit.sd(row), e.commonDoubt())
}

func (e *Estimate) tone(ink float64) density.Lightness {
	o := observation{print: common, tablet: math.NaN(), ink: ink, unit: measure.InLightness}
	return density.Lightness(e.fit.curves().reading(&o, nil))
}

// meanOf is how many prints the tones are the mean of.
func (e *Estimate) meanOf() int { return len(e.prints) }

// common is the number of the curve that all prints share.
const common = -1

// PrintDensity returns the print density at a log exposure, with its standard
// uncertainty.
func (e *Estimate) PrintDensity(x density.LogExposure) (density.Density, float64) {
	o := observation{print: common, tablet: -float64(x), ink: math.NaN(), unit: measure.InDensity}
	row := make([]float64, e.fit.size())
	d := e.fit.curves().reading(&o, row)
	return density.Density(d), e.fit.sd(row)
}

// UVDensity returns the UV density at a film ink of 0 to 100 %, net above clear
// film, with its standard uncertainty, that of a nominal tablet included. It means
// nothing without a tablet.
func (e *Estimate) UVDensity(ink float64) (density.Density, float64) {
	ev := e.fit.curves()
	row := make([]float64, e.fit.size())
	at := e.fit.atRamp()
	ev.ramp.Sensitivity(ink, row[at:at+e.fit.nRamp])
	uv := ev.ramp.UVDensity(ink)
	return uv, math.Hypot(e.fit.sd(row), e.tabletScaleDoubt()*float64(uv))
}

// Curve returns the characteristic curve that all prints share, over the span
// of log exposure that was read.
func (e *Estimate) Curve() *sensitometry.Curve {
	return e.curveOf(e.fit.curves())
}

func (e *Estimate) curveOf(ev *evaluator) *sensitometry.Curve {
	c := &sensitometry.Curve{Form: ev.form, Paper: density.Density(ev.p[atPaper]),
		Net: density.Density(math.Exp(ev.p[atNet]))}
	c.Low, c.High = e.span(ev)
	return c
}

// span is the log exposure from the least to the most exposed reading, on the
// common curve's scale.
func (e *Estimate) span(ev *evaluator) (low, high density.LogExposure) {
	l, h := math.Inf(1), math.Inf(-1)
	for i := range e.fit.obs {
		x := ev.exposure(&e.fit.obs[i])
		l, h = math.Min(l, x), math.Max(h, x)
	}
	return density.LogExposure(l), density.LogExposure(h)
}

// sd is the standard uncertainty of a quantity with the given derivatives.
func (f *fitted) sd(gradient []float64) float64 {
	g := mat.NewVecDense(len(gradient), gradient)
	return math.Sqrt(math.Max(0, mat.Inner(g, f.covariance, g)))
}
