package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// What is left out of the coefficients: parts of the curve's doubt that move no UV
// density by more than this (log10), or that no print tells of.
const (
	leastMode = 0.001
	mostModes = 30
	flatDoubt = 0.3 // doubt of UV density by one reading from which on a print tells nothing
)

// setModes finds the combinations of the curve's parameters that matter to UV
// densities: the principal parts of their doubt.
func (f *colourFit) setModes() {
	root := rootOf(f.tied(f.estimate.fit.covariance))
	n := f.estimate.fit.size()
	influence := mat.NewSymDense(n, nil)
	nodes := 0
	row := make([]float64, n)
	ev := f.estimate.fit.curves()
	for k, s := range f.sheets {
		c := ev.sheetCurve(k)
		group := f.groups[groupKey{s.colours.Unit, statedDoubt(s.colours) != nil}]
		sd := f.noise[group].of(f.noise[group].usual)
		for uv := f.low; uv <= f.high; uv += 0.05 {
			o := observation{print: k, tablet: uv, ink: math.NaN(), unit: s.colours.Unit}
			ev.reading(&o, row)
			if _, slope := c.tone(uv, o.unit); math.Abs(slope)*flatDoubt > sd {
				floats.Scale(1/slope, row)
				influence.SymRankOne(influence, 1, mat.NewVecDense(n, row))
				nodes++
			}
		}
	}
	f.modes = principal(root, influence, float64(nodes))
	_, k := f.modes.Dims()
	f.shared = append(make([]float64, k), f.beyondCurve()...)
}

// tied returns the covariance of the curve's parameters without the deviations of
// sheets that no tablet ties down, which have coefficients of their own.
func (f *colourFit) tied(covariance *mat.SymDense) *mat.SymDense {
	out := mat.NewSymDense(covariance.SymmetricDim(), nil)
	out.CopySym(covariance)
	for _, k := range f.loose {
		at := f.estimate.fit.deviation(k)
		for i := at; i < at+deviations; i++ {
			for j := range out.SymmetricDim() {
				out.SetSym(i, j, 0)
			}
		}
	}
	return out
}

// rootOf returns R with R Rᵀ the covariance, rounding errors set right.
func rootOf(covariance *mat.SymDense) *mat.Dense {
	n := covariance.SymmetricDim()
	var eig mat.EigenSym
	if !eig.Factorize(covariance, true) {
		panic("calibration: a covariance has no eigenvalues")
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	values := eig.Values(nil)
	return mat.DenseCopyOf(scaleColumns(&vectors, n, func(j int) float64 { return math.Sqrt(math.Max(0, values[j])) }))
}

func scaleColumns(m *mat.Dense, columns int, by func(j int) float64) *mat.Dense {
	rows, _ := m.Dims()
	for j := range columns {
		s := by(j)
		for i := range rows {
			m.Set(i, j, s*m.At(i, j))
		}
	}
	return m
}

// principal returns the combinations of the root's columns whose influence, in
// mean squares over nodes, is worth keeping, the largest first; one at least.
func principal(root *mat.Dense, influence *mat.SymDense, nodes float64) *mat.Dense {
	n, _ := root.Dims()
	var half, full mat.Dense
	half.Mul(influence, root)
	full.Mul(root.T(), &half)
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sym.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, true) {
		panic("calibration: an influence has no eigenvalues")
	}
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	values, keep := eig.Values(nil), 1
	for keep < min(mostModes, n) && values[n-1-keep] > leastMode*leastMode*nodes {
		keep++
	}
	out := mat.NewDense(n, keep, nil)
	for j := range keep {
		var v mat.VecDense
		v.MulVec(root, vectors.ColView(n-1-j))
		out.SetCol(j, v.RawVector().Data)
	}
	return out
}
