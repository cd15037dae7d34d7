package calibration

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/opacity"
)

// A normal prior of one parameter.
type normal struct{ mean, sd float64 }

// What is known before any reading. Every figure is a broad working value of
// ours (common practice, no source): papers are light, prints reach a density
// of 0.6 to 2, gradients and ink ranges span what the process cards span. The
// readings outweigh all of it.
var (
	paperPrior     = normal{0.08, 0.10}
	logNetPrior    = normal{math.Log(1.3), 0.35}
	filmBasePrior  = normal{0.10, 0.10}
	levelPrior     = normal{-0.4, 2.5}          // logistic's argument at the pivot
	gradientPrior  = normal{math.Log(4), 0.6}   // log
	rampScalePrior = normal{math.Log(2.2), 0.7} // log of the mean slope
	rampTrendPrior = normal{0, 1.2}             // of the log slope
)

// heldSD holds a parameter where its prior has it; nearlyHeldSD lets it give way
// a little.
const (
	heldSD       = 1e-4
	nearlyHeldSD = 0.02
)

// atAsymmetry is where the log asymmetry stands; the sd of its prior is each
// hypothesis's own.
const atAsymmetry = atForm + 2

// scalar is the prior of one parameter that is no coefficient of a correction.
type scalar struct {
	at int
	normal
}

// scalars lists the priors of the parameters that are no coefficients of a
// correction. Without a step tablet nothing tells the paper's gradient from the
// ink's, so the paper's is held near what is usual and the ink's takes up the
// rest; the print tone, which is all that is asked then, does not depend on it.
func (m *model) scalars() []scalar {
	base, level, gradient := filmBasePrior, levelPrior, gradientPrior
	if !m.cutOut {
		base.sd = heldSD
	}
	if m.untied {
		level.sd, gradient.sd = nearlyHeldSD, nearlyHeldSD
	}
	s := []scalar{{atPaper, paperPrior}, {atNet, logNetPrior}, {atBase, base},
		{atForm, level}, {atForm + 1, gradient}, {atAsymmetry, normal{0, 1}}}
	if m.nRamp > 0 {
		s = append(s, scalar{m.atRamp(), rampScalePrior}, scalar{m.atRamp() + 1, rampTrendPrior})
	}
	for k := 0; m.prints > 1 && k < m.prints; k++ {
		for i, sd := range deviationPriors {
			if k == 0 && i == 2 {
				sd = heldSD // the first print's exposure is the origin
			} else if m.loose != nil && m.loose[k][i] {
				sd = looseSD[i]
			}
			s = append(s, scalar{m.deviation(k) + i, normal{0, sd}})
		}
	}
	return s
}

// How much honest hand-coated prints differ (density of black 0.03-0.06,
// mid-tones 0.02-0.05, contrast a few per cent: common practice, no published
// tolerance was found). The exposure offset of a further print is free: it may
// be a different time.
var deviationPriors = [deviations]float64{0.01, 0.035, 0.5, 0.03}

// hypothesis is one belief about how strongly the two corrections bend, before
// a jump in the ramp's slope is considered.
type hypothesis struct {
	logWeight float64
	asymmetry float64 // sd of the log asymmetry
	form      precision
	ramp      precision
}

// hypotheses spans smoothness from nearly none of a correction to strong ones.
// The fit averages over all, weighted by how well each explains the readings,
// so none is chosen. No hypothesis takes the correction away: a fit stiffer
// than about seven degrees of freedom claims more than it knows.
func (m *model) hypotheses() []hypothesis {
	form := precisionOf(covarianceAt(m.grid, smooth, formLength))
	bends := formBends
	if m.untied {
		bends = bends[1:2]
	}
	var all []hypothesis
	for _, b := range bends {
		f := form.scaled(b.sd)
		if m.nRamp == 0 {
			all = append(all, hypothesis{math.Log(b.weight), b.asymmetry, f, precision{}})
			continue
		}
		for _, r := range rampPrecisions() {
			all = append(all, hypothesis{math.Log(b.weight), b.asymmetry, f, r})
		}
	}
	return all
}

// bend is one belief about how a paper departs from the logistic: the sd of the
// correction's log slope, that of the log asymmetry, and how likely it is before
// any reading. Most papers depart by little, some by much.
type bend struct{ sd, asymmetry, weight float64 }

var formBends = []bend{
	{0.02, 0.25, 0.60},
	{0.02, 0.90, 0.30},
	{0.12, 0.40, 0.08},
	{0.50, 0.80, 0.02},
}

// formLength is the log exposure over which that correction changes.
const formLength = 0.8

// rampPrecisions are the beliefs about the ramp's correction: smooth over about
// a third of the ramp, or rough, each of several sizes.
func rampPrecisions() []precision {
	var all []precision
	gentle := precisionOf(covarianceAt(opacity.RampGrid, smooth, 0.35))
	for _, sd := range []float64{0.1, 0.3, 0.8} {
		all = append(all, gentle.scaled(sd))
	}
	sharp := precisionOf(covarianceAt(opacity.RampGrid, rough, 1))
	for _, sd := range []float64{0.4, 1.0} {
		all = append(all, sharp.scaled(sd))
	}
	return all
}

// assemble builds the prior precision over all parameters but the surfaces', and
// its log determinant.
func (m *model) assemble(h hypothesis) (*mat.SymDense, float64) {
	p := mat.NewSymDense(m.core(), nil)
	logDet := h.form.logDet + h.ramp.logDet
	for _, s := range m.scalars() {
		if s.at == atAsymmetry {
			s.sd = h.asymmetry
		}
		p.SetSym(s.at, s.at, 1/(s.sd*s.sd))
		logDet -= 2 * math.Log(s.sd)
	}
	copyBlock(p, h.form.inverse, atForm+3)
	if m.nRamp > 0 {
		copyBlock(p, h.ramp.inverse, m.atCorrection())
	}
	return p, logDet
}

// priorMean returns the parameter vector that is expected before any reading, of
// even sheets.
func (m *model) priorMean() []float64 {
	mean := make([]float64, m.core())
	for _, s := range m.scalars() {
		mean[s.at] = s.mean
	}
	return mean
}

func copyBlock(dst, src *mat.SymDense, at int) {
	n := src.SymmetricDim()
	for i := range n {
		for j := i; j < n; j++ {
			dst.SetSym(at+i, at+j, src.At(i, j))
		}
	}
}
