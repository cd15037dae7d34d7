package leastsquares

import (
	"gonum.org/v1/gonum/mat"
)

// rankTol is the smallest singular value of the column-scaled Jacobian, over
// the largest, that still counts: below it fewer than about three digits of
// the parameters would be left.
const rankTol = 1e-12

// Covariance returns (J'J)^-1 at the minimum, N x N. It is unscaled: multiply
// it by the variance of a residual (RSS/(M-N) where that is unknown, 1 where
// the residuals are in units of their standard uncertainty).
//
// It fails with ErrRankDeficient where Rank < N.
func (r *Result) Covariance() (*mat.SymDense, error) {
	if r.Rank < len(r.P) {
		return nil, ErrRankDeficient
	}
	svd, norms := scaledSVD(r.Jacobian)
	values := svd.Values(nil)
	var v mat.Dense
	svd.VTo(&v)
	n := len(r.P)
	cov := mat.NewSymDense(n, nil)
	for a := 0; a < n; a++ {
		for b := a; b < n; b++ {
			sum := 0.0
			for k, s := range values {
				sum += v.At(a, k) / s * v.At(b, k) / s
			}
			cov.SetSym(a, b, sum/norms[a]/norms[b])
		}
	}
	return cov, nil
}

// rank returns how many parameters, or combinations of them, j fixes.
func rank(j *mat.Dense) int {
	svd, _ := scaledSVD(j)
	values := svd.Values(nil)
	n := 0
	for _, s := range values {
		if s > rankTol*values[0] {
			n++
		}
	}
	return n
}

// scaledSVD decomposes j with its columns scaled to length 1, so that units do
// not pass for rank, and returns the column lengths (1 for an empty column).
func scaledSVD(j *mat.Dense) (*mat.SVD, []float64) {
	_, n := j.Dims()
	scaled := mat.DenseCopyOf(j)
	norms := make([]float64, n)
	for k := range norms {
		col := scaled.ColView(k).(*mat.VecDense)
		norms[k] = mat.Norm(col, 2)
		if norms[k] == 0 {
			norms[k] = 1
		}
		col.ScaleVec(1/norms[k], col)
	}
	var svd mat.SVD
	if !svd.Factorize(scaled, mat.SVDThin) {
		panic("leastsquares: singular values of a finite matrix did not converge")
	}
	return &svd, norms
}
