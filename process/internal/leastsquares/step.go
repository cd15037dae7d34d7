package leastsquares

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// factors holds J = QR and Q'r, and the buffers of the small second
// factorisation that each damping needs (Moré 1978, section 3): the normal
// equations, which lose half the digits, are never formed.
type factors struct {
	m, n      int
	j, qtr    blas64.General // m x n, then R above the diagonal; m x 1
	stack     blas64.General // 2n x n: R over sqrt(damping) D
	rhs       blas64.General // 2n x 1
	tau       []float64
	work      []float64
	gradients []float64 // J'r
	norms     []float64 // of the columns of J
}

func newFactors(m, n int) *factors {
	general := func(r, c int) blas64.General {
		return blas64.General{Rows: r, Cols: c, Stride: c, Data: make([]float64, r*c)}
	}
	f := &factors{m: m, n: n, j: general(m, n), qtr: general(m, 1),
		stack: general(2*n, n), rhs: general(2*n, 1), tau: make([]float64, n),
		gradients: make([]float64, n), norms: make([]float64, n)}
	f.work = make([]float64, f.workspace())
	return f
}

// workspace returns the longest work array that any factorisation asks for.
func (f *factors) workspace() int {
	ask := make([]float64, 1)
	longest := 1.0
	for _, a := range []struct{ a, b blas64.General }{{f.j, f.qtr}, {f.stack, f.rhs}} {
		lapack64.Geqrf(a.a, f.tau, ask, -1)
		longest = math.Max(longest, ask[0])
		lapack64.Ormqr(blas.Left, blas.Trans, a.a, f.tau, a.b, ask, -1)
		longest = math.Max(longest, ask[0])
	}
	return int(longest)
}

// factorise takes the Jacobian j and residuals r of the present point.
func (f *factors) factorise(j *mat.Dense, r []float64) {
	raw := j.RawMatrix()
	for i := 0; i < f.m; i++ {
		copy(f.j.Data[i*f.n:(i+1)*f.n], raw.Data[i*raw.Stride:])
	}
	copy(f.qtr.Data, r)
	lapack64.Geqrf(f.j, f.tau, f.work, len(f.work))
	lapack64.Ormqr(blas.Left, blas.Trans, f.j, f.tau, f.qtr, f.work, len(f.work))
	for k := range f.norms { // J'r = R'Q'r, and the columns of R are as long as those of J
		f.norms[k], f.gradients[k] = 0, 0
		for i := 0; i <= k; i++ {
			v := f.j.Data[i*f.n+k]
			f.norms[k] = math.Hypot(f.norms[k], v)
			f.gradients[k] += v * f.qtr.Data[i]
		}
	}
}

// norm returns the length of column k of the Jacobian.
func (f *factors) norm(k int) float64 { return f.norms[k] }

// gradient returns element k of J'r, half the gradient of the sum of squares.
func (f *factors) gradient(k int) float64 { return f.gradients[k] }

// damped writes into step the s that makes |Js + r|^2 + damping |Ds|^2 least,
// D being the diagonal matrix of scale, and returns the reduction of |r|^2
// that the linear model forecasts: |Js|^2 + 2 damping |Ds|^2 (Moré 1978,
// section 4). ok is false when the system is singular to working precision.
func (f *factors) damped(damping float64, scale, step []float64) (forecast float64, ok bool) {
	f.fillStack(math.Sqrt(damping), scale)
	lapack64.Geqrf(f.stack, f.tau, f.work, len(f.work))
	lapack64.Ormqr(blas.Left, blas.Trans, f.stack, f.tau, f.rhs, f.work, len(f.work))
	copy(step, f.rhs.Data[:f.n])
	blas64.Trsv(blas.NoTrans, upper(f.stack, f.n), blas64.Vector{N: f.n, Inc: 1, Data: step})
	for k, s := range step {
		row := f.j.Data[k*f.n : (k+1)*f.n]
		js, ds := floats.Dot(row[k:], step[k:]), scale[k]*s
		forecast += js*js + 2*damping*ds*ds
	}
	return forecast, finite(forecast) && forecast > 0
}

// fillStack writes R over root D, and the right-hand side -Q'r over zeros.
func (f *factors) fillStack(root float64, scale []float64) {
	clear(f.stack.Data)
	clear(f.rhs.Data)
	for i := 0; i < f.n; i++ {
		copy(f.stack.Data[i*f.n+i:(i+1)*f.n], f.j.Data[i*f.n+i:(i+1)*f.n])
		f.stack.Data[(f.n+i)*f.n+i] = root * scale[i]
		f.rhs.Data[i] = -f.qtr.Data[i]
	}
}

// upper views the first n rows of a as an upper triangle.
func upper(a blas64.General, n int) blas64.Triangular {
	return blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: n, Data: a.Data[:n*a.Stride], Stride: a.Stride}
}
