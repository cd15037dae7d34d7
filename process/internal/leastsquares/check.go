package leastsquares

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// CheckJacobian compares pr.Jacobian at p with differences of pr.Residuals and
// returns an error that names the worst element when any differs by more than
// tolerance times the largest of its column. It is meant for tests.
//
// The differences are central, extrapolated from two steps (Richardson), with
// an error of about 1e-10 where the parameters are of the size on which the
// residuals vary; a tolerance of 1e-6 tells a right Jacobian from a wrong one.
func CheckJacobian(pr Problem, p []float64, tolerance float64) error {
	if err := pr.check(p); err != nil {
		return err
	}
	j := mat.NewDense(pr.M, pr.N, nil)
	pr.Jacobian(p, j)
	for k := range p {
		if err := checkColumn(pr, p, k, mat.Col(nil, k, j), tolerance); err != nil {
			return err
		}
	}
	return nil
}

// checkColumn compares got, column k of the Jacobian, with differences.
func checkColumn(pr Problem, p []float64, k int, got []float64, tolerance float64) error {
	h := 1e-3 * math.Abs(p[k])
	if h == 0 {
		h = 1e-3
	}
	wide, narrow := difference(pr, p, k, h), difference(pr, p, k, h/2)
	size, worst, at := 0.0, -1.0, 0
	for i, g := range got {
		narrow[i] += (narrow[i] - wide[i]) / 3
		size = math.Max(size, math.Abs(narrow[i]))
		d := math.Abs(g - narrow[i])
		if math.IsNaN(d) {
			return fmt.Errorf("derivative of residual %d to parameter %d is %g, differences give %g", i, k, g, narrow[i])
		}
		if d > worst {
			worst, at = d, i
		}
	}
	if worst > tolerance*size {
		return fmt.Errorf("derivative of residual %d to parameter %d is %g, differences give %g",
			at, k, got[at], narrow[at])
	}
	return nil
}

// difference returns the central difference of all residuals over +-h.
func difference(pr Problem, p []float64, k int, h float64) []float64 {
	q := append([]float64(nil), p...)
	up, down := make([]float64, pr.M), make([]float64, pr.M)
	q[k] = p[k] + h
	pr.Residuals(q, up)
	q[k] = p[k] - h
	pr.Residuals(q, down)
	for i := range up {
		up[i] = (up[i] - down[i]) / (2 * h)
	}
	return up
}
