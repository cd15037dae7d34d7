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

// heldSD holds a parameter where its prior has it.
const heldSD = 1e-4

// scalars lists the priors of the parameters that are no coefficients of a
// correction. Without a step tablet nothing tells the paper's gradient from the
// ink's, so the paper's is held near what is usual and the ink's takes up the
// rest; the print tone, which is all that is asked then, does not depend on it.
func (m *model) scalars() map[int]normal {
	s := map[int]normal{
		atPaper: paperPrior, atNet: logNetPrior, atBase: {filmBasePrior.mean, heldSD},
		atForm: levelPrior, atForm + 1: gradientPrior, atForm + 2: {0, 1}, // its sd is each hypothesis's own
	}
	if m.nRamp > 0 {
		s[m.atRamp()], s[m.atRamp()+1] = rampScalePrior, rampTrendPrior
	}
	if m.cutOut {
		s[atBase] = filmBasePrior
	}
	if m.untied {
		s[atForm] = normal{levelPrior.mean, 0.02}
		s[atForm+1] = normal{gradientPrior.mean, 0.02}
	}
	for k := 0; m.prints > 1 && k < m.prints; k++ {
		for i, sd := range deviationPriors {
			s[m.deviation(k)+i] = normal{0, sd}
		}
	}
	if m.prints > 1 {
		s[m.deviation(0)+2] = normal{0, heldSD} // the first print's exposure is the origin
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

// assemble builds the prior precision over all parameters, and its log
// determinant.
func (m *model) assemble(h hypothesis) (*mat.SymDense, float64) {
	p := mat.NewSymDense(m.size(), nil)
	logDet := h.form.logDet + h.ramp.logDet
	for i, s := range m.scalars() {
		if i == atForm+2 {
			s.sd = h.asymmetry
		}
		p.SetSym(i, i, 1/(s.sd*s.sd))
		logDet -= 2 * math.Log(s.sd)
	}
	copyBlock(p, h.form.inverse, atForm+3)
	if m.nRamp > 0 {
		copyBlock(p, h.ramp.inverse, m.atCorrection())
	}
	return p, logDet
}

// priorMean returns the parameter vector that is expected before any reading.
func (m *model) priorMean() []float64 {
	mean := make([]float64, m.size())
	for i, s := range m.scalars() {
		mean[i] = s.mean
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
