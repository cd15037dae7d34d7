package calibration

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/monotone"
)

// smooth is the Matérn covariance of order 3/2 with unit variance: functions
// with one derivative (Rasmussen & Williams, Gaussian Processes for Machine
// Learning, 2006, eq. 4.17).
func smooth(distance, length float64) float64 {
	d := math.Sqrt(3) * distance / length
	return (1 + d) * math.Exp(-d)
}

// rough is the Matérn covariance of order 1/2 with unit variance: continuous
// functions that may bend sharply anywhere (the same, eq. 4.18).
func rough(distance, length float64) float64 { return math.Exp(-distance / length) }

// covarianceAt fills the covariance of a correction's coefficients.
func covarianceAt(g monotone.Grid, kernel func(distance, length float64) float64, length float64) *mat.SymDense {
	c := mat.NewSymDense(g.Knots, nil)
	for i := range g.Knots {
		for j := i; j < g.Knots; j++ {
			c.SetSym(i, j, kernel(math.Abs(g.Knot(i)-g.Knot(j)), length))
		}
		c.SetSym(i, i, c.At(i, i)+1e-6)
	}
	return c
}

// precision is the inverse of a covariance with its log determinant.
type precision struct {
	inverse *mat.SymDense
	logDet  float64 // of inverse
}

func precisionOf(covariance *mat.SymDense) precision {
	var chol mat.Cholesky
	if !chol.Factorize(covariance) {
		panic("calibration: a prior covariance is not positive definite")
	}
	inv := mat.NewSymDense(covariance.SymmetricDim(), nil)
	if err := chol.InverseTo(inv); err != nil {
		panic("calibration: a prior covariance is singular: " + err.Error())
	}
	return precision{inverse: inv, logDet: -chol.LogDet()}
}

// scaled returns the precision when the standard deviation is s times as large.
func (p precision) scaled(s float64) precision {
	n := p.inverse.SymmetricDim()
	inv := mat.NewSymDense(n, nil)
	inv.ScaleSym(1/(s*s), p.inverse)
	return precision{inverse: inv, logDet: p.logDet - 2*float64(n)*math.Log(s)}
}
