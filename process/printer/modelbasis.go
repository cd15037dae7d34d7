package printer

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// basis writes the Gaussian process as a sum of functions with independent unit
// normal coefficients: those of a Cholesky factor of its covariance over some
// chosen colours, the pivots. With as many pivots as colours it is the process
// itself; with fewer, each colour keeps what the pivots do not tell as a part of
// its own, which is the "fully independent training conditional" of J.
// Quiñonero-Candela & C. E. Rasmussen, J. Machine Learning Research 6 (2005)
// 1939-1959, its points chosen by pivoting.
type basis struct {
	kernel kernel
	pivots []place
	table  *kernelTable  // of the pivots
	lower  *mat.TriDense // Cholesky factor over the pivots; nil without any
}

// negligibleShare of the largest variance is where more pivots tell no more.
const negligibleShare = 1e-9

// newBasis chooses at most most pivots among places, each where the variance not
// told by those before is largest. It returns the basis and each place's
// functions, one row a place.
func newBasis(k kernel, places []place, most int) (*basis, *mat.Dense) {
	n := len(places)
	most = min(most, n)
	b := &basis{kernel: k}
	if most == 0 {
		return b, nil
	}
	rows := mat.NewDense(n, most, nil)
	left := make([]float64, n)
	for i := range places {
		left[i] = k.variance(&places[i])
	}
	floor := negligibleShare * left[largest(left)]
	var chosen []int
	table, column := newKernelTable(k, places), make([]float64, n)
	for m := range most {
		p := largest(left)
		if left[p] <= floor {
			break
		}
		chosen = append(chosen, p)
		table.fill(&places[p], column)
		untold(rows, p, m, column)
		root := math.Sqrt(left[p])
		for i, v := range column {
			rows.Set(i, m, v/root)
			left[i] -= v / root * v / root
		}
		left[p] = 0
	}
	return b.keep(places, rows, chosen)
}

// untold takes off column, the covariance of all places with place p, what the
// first m functions tell.
func untold(rows *mat.Dense, p, m int, column []float64) {
	if m == 0 {
		return
	}
	raw := rows.RawMatrix()
	a := blas64.General{Rows: raw.Rows, Cols: m, Stride: raw.Stride, Data: raw.Data}
	x := vector(raw.Data[p*raw.Stride : p*raw.Stride+m])
	blas64.Gemv(blas.NoTrans, -1, a, x, 1, vector(column))
}

// keep takes the chosen places as pivots and cuts the rows to as many columns.
func (b *basis) keep(places []place, rows *mat.Dense, chosen []int) (*basis, *mat.Dense) {
	m := len(chosen)
	if m == 0 {
		return b, nil
	}
	b.lower = mat.NewTriDense(m, mat.Lower, nil)
	for i, p := range chosen {
		b.pivots = append(b.pivots, places[p])
		for j := range i + 1 {
			b.lower.SetTri(i, j, rows.At(p, j))
		}
	}
	b.table = newKernelTable(b.kernel, b.pivots)
	return b, mat.DenseCopyOf(rows.Slice(0, len(places), 0, m))
}

// size is the number of functions.
func (b *basis) size() int { return len(b.pivots) }

// functions writes the functions at a place into dst and returns the variance
// that they do not tell there, nugget left out.
func (b *basis) functions(p *place, dst []float64) (own float64) {
	own = b.kernel.variance(p)
	if b.lower == nil {
		return own
	}
	b.table.fill(p, dst)
	x := blas64.Vector{N: len(dst), Inc: 1, Data: dst}
	blas64.Trsv(blas.NoTrans, b.lower.RawTriangular(), x)
	return math.Max(0, own-blas64.Dot(x, x))
}

// largest returns the index of the largest value, the first of equal ones.
func largest(v []float64) int {
	at := 0
	for i := range v {
		if v[i] > v[at] {
			at = i
		}
	}
	return at
}
