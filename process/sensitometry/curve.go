package sensitometry

import (
	"math"

	"actinic/process/density"
	"actinic/process/monotone"
)

// Form is the shape of a characteristic curve between the paper and the
// maximum density: a generalised logistic (Richards, J. Exp. Bot. 10 (1959)
// 290-300) of a rising function of log exposure. With no correction that
// function is a straight line; the correction bends it smoothly and never
// turns it back.
type Form struct {
	Level        float64   // the logistic's argument at Pivot
	LogGradient  float64   // log of the argument's slope, correction aside
	LogAsymmetry float64   // log of the Richards exponent; 0 is the logistic
	Correction   []float64 // log slope at the grid's knots
	Falling      bool      // print density falls with exposure (positive-working)

	grid   monotone.Grid
	rising *monotone.Rising
	pivot  float64               // rising.Value(Pivot)
	answer *monotone.Sensitivity // made when first asked for
	byCorr []float64             // sensitivity of pivot
}

// Pivot is the log exposure at which Level holds: about the middle of most
// prints. Level and the log slope enter linearly, so that fits behave well.
const Pivot = -1.0

// formScalars is the number of parameters before the correction.
const formScalars = 3

// FormParameters is the number of parameters of a Form on a grid: Level,
// LogGradient, LogAsymmetry and one correction a knot, in this order.
func FormParameters(g monotone.Grid) int { return formScalars + g.Knots }

// NewForm builds the form of a parameter vector; the grid spans the log
// exposures that the readings span, Pivot among them.
func NewForm(g monotone.Grid, p []float64, falling bool) *Form {
	f := &Form{Level: p[0], LogGradient: p[1], LogAsymmetry: p[2],
		Correction: p[formScalars:FormParameters(g)], Falling: falling, grid: g}
	logSlope := make([]float64, g.Nodes)
	for i := range g.Nodes {
		j, left, right := g.Hats(i)
		logSlope[i] = f.LogGradient + left*f.Correction[j] + right*f.Correction[j+1]
	}
	f.rising = monotone.NewRising(g, logSlope)
	f.pivot = f.rising.Value(Pivot)
	return f
}

// answers makes the sensitivity to the correction.
func (f *Form) answers() {
	g := f.grid
	dlog := make([]float64, g.Nodes*g.Knots)
	for i := range g.Nodes {
		j, left, right := g.Hats(i)
		dlog[i*g.Knots+j] += left
		dlog[i*g.Knots+j+1] += right
	}
	f.answer = monotone.NewSensitivity(f.rising, dlog)
	f.byCorr = make([]float64, g.Knots)
	f.answer.At(Pivot, f.byCorr)
}

// argument returns the logistic's argument at log exposure x.
func (f *Form) argument(x float64) float64 {
	z := f.Level + f.rising.Value(x) - f.pivot
	if f.Falling {
		return -z
	}
	return z
}

// Share returns the share of net density, 0 to 1, at log exposure x.
func (f *Form) Share(x density.LogExposure) float64 {
	s, _, _ := richards(f.argument(float64(x)), f.LogAsymmetry)
	return s
}

// Gradient returns dShare/dx.
func (f *Form) Gradient(x density.LogExposure) float64 {
	_, dz, _ := richards(f.argument(float64(x)), f.LogAsymmetry)
	return dz * f.argumentSlope(float64(x))
}

func (f *Form) argumentSlope(x float64) float64 {
	if f.Falling {
		return -f.rising.Slope(x)
	}
	return f.rising.Slope(x)
}

// Exposure returns the log exposure at which the share of net density is s,
// 0 < s < 1. It may lie outside the grid; whoever reports it checks that.
func (f *Form) Exposure(s float64) density.LogExposure {
	z := richardsInverse(s, f.LogAsymmetry)
	if f.Falling {
		z = -z
	}
	return density.LogExposure(f.rising.Inverse(f.pivot + z - f.Level))
}

// Sensitivity writes d(Share(x))/d(parameter) into dst and returns the share
// and its derivative by x. Its first call fills a table: it is not safe for
// concurrent use.
func (f *Form) Sensitivity(x float64, dst []float64) (share, byX float64) {
	if f.answer == nil {
		f.answers()
	}
	share, dz, dAsym := richards(f.argument(x), f.LogAsymmetry)
	if f.Falling {
		dz = -dz
	}
	dst[0] = dz
	dst[1] = dz * (f.rising.Value(x) - f.pivot)
	dst[2] = dAsym
	corr := dst[formScalars:]
	f.answer.At(x, corr)
	for j := range f.byCorr {
		corr[j] = dz * (corr[j] - f.byCorr[j])
	}
	return share, dz * f.rising.Slope(x)
}

// richards is (1 + (2^nu - 1) exp(-z))^(-1/nu), which is one half at z = 0 for
// every nu, with its derivatives by z and by log nu. Logarithms keep it finite
// for any nu and z.
func richards(z, logNu float64) (share, byZ, byLogNu float64) {
	nu := math.Exp(logNu)
	lnq := logPow2Minus1(nu) - z // log of the term added to 1
	ln1q, part := lnq, 1.0       // log(1+q), q/(1+q)
	if lnq < 30 {
		q := math.Exp(lnq)
		ln1q, part = math.Log1p(q), q/(1+q)
	}
	share = math.Exp(-ln1q / nu)
	byZ = share * part / nu
	byLogNu = share * (ln1q/nu - part*math.Ln2/-math.Expm1(-nu*math.Ln2))
	return share, byZ, byLogNu
}

// logPow2Minus1 is log(2^nu - 1), without overflow.
func logPow2Minus1(nu float64) float64 {
	y := nu * math.Ln2
	return y + math.Log(-math.Expm1(-y))
}

// richardsInverse returns the z at which richards is s, 0 < s < 1.
func richardsInverse(s, logNu float64) float64 {
	nu := math.Exp(logNu)
	y := -nu * math.Log(s)
	return logPow2Minus1(nu) - (y + math.Log(-math.Expm1(-y)))
}
