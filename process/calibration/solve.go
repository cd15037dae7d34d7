package calibration

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"actinic/process/internal/leastsquares"
)

// weights holds the robust weight of each observation, 0 to 1.
type weights []float64

// A reading further from the fit than softAt times its noise loses weight, so
// that its pull fades with distance; outlierAt names it as an outlier.
const (
	softAt    = 3.0
	outlierAt = 4.0
)

func robustWeight(standardised float64) float64 {
	r := math.Abs(standardised)
	if r <= softAt {
		return 1
	}
	return math.Pow(softAt/r, 3)
}

// whiten returns the square root of each observation's weight over its noise.
func (m *model) whiten(s noise, w weights) []float64 {
	out := make([]float64, len(m.obs))
	for i := range m.obs {
		out[i] = math.Sqrt(w[i]) / s.of(&m.obs[i])
	}
	return out
}

// mostLikely returns the parameters that explain the readings best under one
// hypothesis, as if all sheets were even: damped least squares on the whitened
// residuals, with the prior as further residuals. A point that is not yet a minimum
// when the time is up is good enough to begin a round at: whether the fit comes to
// rest is seen there.
func (m *model) mostLikely(start []float64, prior *mat.SymDense, s noise, w weights) ([]float64, error) {
	n, rows := m.core(), len(m.obs)
	root := priorRoot(prior)
	mean, scale := m.priorMean(), m.whiten(s, w)
	problem := leastsquares.Problem{M: rows + n, N: n,
		Residuals: func(p, r []float64) {
			e := m.at(p)
			for i := range m.obs {
				r[i] = scale[i] * (e.reading(&m.obs[i], nil) - m.obs[i].value)
			}
			priorResiduals(root, p, mean, r[rows:])
		},
		Jacobian: func(p []float64, j *mat.Dense) {
			e := m.at(p)
			for i := range m.obs {
				row := j.RawRowView(i)
				e.reading(&m.obs[i], row)
				for k := range row {
					row[k] *= scale[i]
				}
			}
			j.Slice(rows, rows+n, 0, n).(*mat.Dense).Copy(root)
		}}
	res, err := leastsquares.Solve(problem, start, &leastsquares.Options{
		MaxIterations: 100, StepTol: 1e-5, GradientTol: 1e-5, ReductionTol: 1e-6})
	var late *leastsquares.NotConvergedError
	if err != nil && !errors.As(err, &late) {
		return nil, err
	}
	return res.P, nil
}

// priorRoot returns R with RᵀR the prior precision.
func priorRoot(prior *mat.SymDense) *mat.TriDense {
	var chol mat.Cholesky
	if !chol.Factorize(prior) {
		panic("calibration: a prior precision is not positive definite")
	}
	root := mat.NewTriDense(prior.SymmetricDim(), mat.Upper, nil)
	chol.UTo(root)
	return root
}

func priorResiduals(root *mat.TriDense, p, mean, dst []float64) {
	n := len(p)
	for i := range n {
		t := 0.0
		for j := i; j < n; j++ {
			t += root.At(i, j) * (p[j] - mean[j])
		}
		dst[i] = t
	}
}

// equations linearises the model about p.
func (m *model) equations(p []float64, s noise, w weights) normalEquations {
	residual, jac := m.linearised(p)
	scale := m.whiten(s, w)
	target := make([]float64, len(m.obs))
	white := mat.NewDense(len(m.obs), m.size(), nil)
	for i := range m.obs {
		row := jac.RawRowView(i)
		t := residual[i]
		for k, v := range row {
			t += v * p[k]
			white.Set(i, k, v*scale[i])
		}
		target[i] = t * scale[i]
	}
	info := mat.NewSymDense(m.size(), nil)
	info.SymOuterK(1, white.T())
	rhs := mat.NewVecDense(m.size(), nil)
	rhs.MulVec(white.T(), mat.NewVecDense(len(target), target))
	return normalEquations{info: info, rhs: rhs.RawVector().Data}
}
