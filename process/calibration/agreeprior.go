package calibration

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// loosened says which of a print's deviations are held by no usual scatter,
// because the print is known to differ in them.
type loosened [deviations]bool

// How far the deviations of a print may go that differs from the others, and how
// much honest prints' exposures differ when their times are the same (working
// values of ours; the scatter is what lamps and timers do, within the 0.02-0.05
// of density of mid-tones).
var looseSD = [deviations]float64{0.05, 0.25, 0.5, 0.2}

const honestExposure = 0.025

// honestBlack is how much honest prints' blacks differ, print density: the mean of
// 0.03 to 0.06 and a little (common practice, no source).
const honestBlack = 0.05

// How much the shape of the ink's and the paper's curves differ between honest
// prints: sd of log exposure, and of the ink's strength as a share of UV density
// (working values of ours).
const (
	honestShape    = 0.01
	honestStrength = 0.01
)

// Without a step tablet log exposure has no measure but a gradient that is held: it
// counts for less on most papers, and where the gradient has another shape an honest
// difference in exposure or contrast looks like one in shape.
const (
	untiedExposure = 0.018
	untiedShape    = 0.015
)

// allowance is how much one print may differ in each way: sd.
type allowance [differences]float64

// honest is how much the prints differ when all are honest.
func (a *apart) honest() []allowance {
	out := make([]allowance, a.prints)
	black := honestBlack / math.Exp(a.mean[atNet])
	for k := range out {
		out[k] = allowance{deviationPriors[0], black, honestExposure, deviationPriors[3], honestShape, honestShape, honestStrength}
		if a.untied {
			out[k][OfExposure], out[k][OfInk] = untiedExposure, untiedShape
		}
		if a.open[k] {
			out[k][OfExposure] = looseSD[OfExposure]
		}
	}
	return out
}

// freeAllowance lets a print go its own way.
var freeAllowance = allowance{looseSD[0], looseSD[1], 2 * looseSD[2], looseSD[3], 0.1, 0.05, 0.1}

// before is what is expected of all parameters before the readings.
type before struct {
	precision *mat.SymDense
	mean      []float64
	logDet    float64 // of the precision, as far as it depends on allowances
}

// weigh returns the belief about all parameters when each print may differ by its
// allowance, with the log evidence.
func (a *apart) weigh(allow []allowance) belief { return a.outcome(a.before(allow)) }

// before is what is expected when each print may differ by its allowance.
func (a *apart) before(allow []allowance) before {
	n, core := a.full(), a.core()
	prior := mat.NewSymDense(n, nil)
	copyBlock(prior, a.prior, 0)
	mean0 := make([]float64, n)
	copy(mean0, a.priorMean())
	p, _ := a.uneven.precision(sizes{0, unevenLamp, ownShare * unevenLamp, unevenCoating})
	for i, v := range p {
		prior.SetSym(core+i, core+i, v)
	}
	logDet := 0.0
	for k, allowed := range allow {
		dev := a.deviation(k)
		for i := range deviations {
			prior.SetSym(dev+i, dev+i, 1/(allowed[i]*allowed[i]))
			logDet -= 2 * math.Log(allowed[i])
		}
		mean0[dev+2] = a.expected[k]
		at := a.atShapes(k)
		ink, curve := a.inkPrecision(allowed), curvePrecision.scaled(allowed[OfCurve])
		copyBlock(prior, ink.inverse, at)
		copyBlock(prior, curve.inverse, at+inkShape)
		logDet += ink.logDet + curve.logDet
	}
	return before{prior, mean0, logDet}
}

// mostInk bounds UV densities: no film is denser, and no arithmetic here meets
// larger numbers.
const mostInk = 10

// inkPrecision is the prior of an ink's shape: of any form, and in proportion to
// UV density.
func (a *apart) inkPrecision(allowed allowance) precision {
	c := mat.NewSymDense(inkShape, nil)
	c.ScaleSym(allowed[OfInk]*allowed[OfInk], inkShapeCovariance)
	ramp := a.model.ramp(a.mean)
	g := mat.NewVecDense(inkShape, nil)
	for j := range inkShape {
		g.SetVec(j, math.Min(float64(ramp.UVDensity(100*inkShapeGrid.Knot(j+1))), mostInk))
	}
	c.SymRankOne(c, allowed[OfStrength]*allowed[OfStrength], g)
	return precisionOf(c)
}

// outcome is the belief after the readings.
func (a *apart) outcome(p before) belief {
	n := a.full()
	rhs, mean0 := mat.NewVecDense(n, nil), mat.NewVecDense(n, p.mean)
	rhs.MulVec(p.precision, mean0)
	start := mat.Dot(rhs, mean0)
	rhs.AddVec(rhs, mat.NewVecDense(n, a.rhs))
	total := mat.NewSymDense(n, nil)
	total.AddSym(a.info, p.precision)
	var chol mat.Cholesky
	cov, mean := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	if !chol.Factorize(total) || chol.InverseTo(cov) != nil {
		return belief{}
	}
	mean.MulVec(cov, rhs)
	weight := (p.logDet - chol.LogDet() + mat.Dot(rhs, mean) - start) / 2
	if math.IsNaN(weight) {
		return belief{}
	}
	return belief{mean: mean.RawVector().Data, covariance: cov, dof: traceProduct(cov, a.info), logWeight: weight}
}
