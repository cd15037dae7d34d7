package printer

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"
)

// design is the linear problem about one mix: a reading is
//
//	mix + terms x coefficients + derivatives x (step of the mix's parameters)
//	    + functions x weights + what is the colour's own + noise
//
// All unknowns but the colours' own parts stand in one vector, in this order;
// the colours' own parts are worked out of it.
type design struct {
	sums    *sums
	prior   *mixPrior
	p       []float64 // parameters of the mix
	basis   *basis
	rows    *mat.Dense // one a colour: derivatives, functions
	uv      []float64  // of the mix
	own     []float64  // variance of what is the colour's own: untold by the basis, and irregular
	clear   []bool
	unknown int
}

// newDesign builds the problem for a kernel with at most pivots functions.
func newDesign(s *sums, prior *mixPrior, p []float64, k kernel, pivots int) *design {
	d := &design{sums: s, prior: prior, p: p}
	m, n := newMix(p), len(s.colours)
	d.uv, d.own, d.clear = make([]float64, n), make([]float64, n), make([]bool, n)
	places := make([]place, n)
	for i, c := range s.colours {
		places[i] = k.placeOf(m, c.rgb)
		d.clear[i] = c.rgb == Clear
	}
	var functions *mat.Dense
	d.basis, functions = newBasis(k, places, pivots)
	d.unknown = s.count + mixCount + d.basis.size()
	d.rows = mat.NewDense(n, mixCount+d.basis.size(), nil)
	for i, c := range s.colours {
		row := d.rows.RawRowView(i)
		d.uv[i] = m.sensitivity(c.rgb, row[:mixCount])
		d.own[i] = k.irregular(&places[i])
		if functions != nil {
			f := functions.RawRowView(i)
			copy(row[mixCount:], f)
			x := blas64.Vector{N: len(f), Inc: 1, Data: f}
			d.own[i] += max(0, k.variance(&places[i])-blas64.Dot(x, x))
		}
		if d.clear[i] {
			clear(row)
			d.uv[i], d.own[i] = 0, 0
		}
	}
	return d
}

// solution is what is known of the unknowns after the readings.
type solution struct {
	mean []float64
	info mat.Cholesky // of the inverse covariance
}

// factor is the upper Cholesky factor of the inverse covariance.
func (s *solution) factor() blas64.Triangular {
	return s.info.RawU().(mat.RawTriangular).RawTriangular()
}

// variance returns the variance of x times the unknowns; it spoils x.
func (s *solution) variance(x []float64) float64 {
	v := vector(x)
	blas64.Trsv(blas.Trans, s.factor(), v)
	return blas64.Dot(v, v)
}

// errSingular says that arithmetic cannot tell the unknowns: readings whose
// doubts are too far apart.
var errSingular = errors.New("printer: normal equations are singular")

// leastTold keeps the arithmetic sound: a share of each unknown's information,
// far below what matters and far above rounding.
const leastTold = 1e-11

// pull returns the weight of a colour's mean once its own part is worked out.
func (d *design) pull(i int) float64 {
	w := d.sums.colours[i].weight
	return w / (1 + d.own[i]*w)
}

// solve returns the solution for the present weights of the readings.
func (d *design) solve() (*solution, error) {
	n, terms := len(d.uv), d.sums.count
	x := mat.NewDense(n, d.unknown, nil) // rows times the root of their weight
	y := mat.NewVecDense(n, nil)
	for i, c := range d.sums.colours {
		root := math.Sqrt(d.pull(i))
		row := x.RawRowView(i)
		for k, z := range c.terms {
			row[k] = root * z
		}
		for k, v := range d.rows.RawRowView(i) {
			row[terms+k] = root * v
		}
		y.SetVec(i, root*(c.mean-d.uv[i]))
	}
	info := mat.NewSymDense(d.unknown, nil)
	blas64.Syrk(blas.Trans, 1, x.RawMatrix(), 0, info.RawSymmetric())
	rhs := mat.NewVecDense(d.unknown, nil)
	rhs.MulVec(x.T(), y)
	d.addPrior(info, rhs)
	d.addWithin(info, rhs)
	for k := range d.unknown { // unknowns that no reading tells apart
		info.SetSym(k, k, info.At(k, k)*(1+leastTold))
	}
	s := &solution{}
	if !s.info.Factorize(info) {
		return nil, errSingular
	}
	s.mean = append([]float64(nil), rhs.RawVector().Data...)
	blas64.Trsv(blas.Trans, s.factor(), vector(s.mean))
	blas64.Trsv(blas.NoTrans, s.factor(), vector(s.mean))
	return s, nil
}

// addPrior adds what was known of the unknowns before the readings.
func (d *design) addPrior(info *mat.SymDense, rhs *mat.VecDense) {
	add := func(k int, mean, sd float64) {
		info.SetSym(k, k, info.At(k, k)+1/(sd*sd))
		rhs.SetVec(k, rhs.AtVec(k)+mean/(sd*sd))
	}
	for k, sd := range d.sums.termSD {
		add(k, 0, sd)
	}
	terms := d.sums.count
	for k := range mixCount {
		add(terms+k, d.prior.mean[k]-d.p[k], d.prior.sd[k])
	}
	for k := range d.basis.size() {
		add(terms+mixCount+k, 0, 1)
	}
}

// addWithin adds what readings of the same colour say about the terms.
func (d *design) addWithin(info *mat.SymDense, rhs *mat.VecDense) {
	for i := range d.sums.count {
		rhs.SetVec(i, rhs.AtVec(i)+d.sums.rhs[i])
		for j := i; j < d.sums.count; j++ {
			info.SetSym(i, j, info.At(i, j)+d.sums.within.At(i, j))
		}
	}
}

// coefficients returns the means of the terms' coefficients.
func (d *design) coefficients(s *solution) []float64 { return s.mean[:d.sums.count] }
