package calibration

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// setGain finds how the curve that the tablets fix gives way to the surfaces, as
// the tablets lie on the same uneven sheets, and what the tablets' own scatter
// tells of these.
func (f *colourFit) setGain() {
	f.gain, f.fittedAt, f.byTablets = nil, f.surfacesAt(), nil
	if f.uneven.count == 0 {
		return
	}
	fit, curves, size := f.estimate.fit, f.view().curves, f.uneven.size()
	residual, jac := fit.linearised(fit.mean)
	pull, own := mat.NewDense(fit.size(), size, nil), mat.NewSymDense(size, nil)
	told := mat.NewSymDense(fit.size(), nil)
	curve, rhs := mat.NewVecDense(fit.size(), nil), mat.NewVecDense(size, nil)
	for i, w := range fit.whiten(fit.noise, fit.weights) {
		o := &fit.obs[i]
		row := mat.NewVecDense(size, nil)
		byLight, byCoating := curves[o.print].byPlace(o.tablet-f.base(o.cutOut), o.unit)
		f.uneven.derive(row.RawVector().Data, o.print, f.termsOf(o.print, o.table.Readings[o.index]), byLight, byCoating)
		at := mat.NewVecDense(fit.size(), jac.RawRowView(i))
		told.SymRankOne(told, w*w, at)
		pull.RankOne(pull, w*w, at, row)
		own.SymRankOne(own, w*w, row)
		curve.AddScaledVec(curve, w*w*residual[i], at)
		rhs.AddScaledVec(rhs, w*w*residual[i], row)
	}
	f.gain = new(mat.Dense)
	f.gain.Mul(noLooser(fit.covariance, told), pull)
	f.byTablets = newTabletView(own, pull, f.gain, rhs, curve, f.fittedAt)
}

// noLooser returns a covariance of the curve's parameters without the doubt that
// the readings, whose information is told, leave no room for. The covariance of a
// fit holds what its hypotheses disagree on, beyond the doubt within each; a curve
// does not give way to the readings by more for that.
func noLooser(covariance, told *mat.SymDense) *mat.SymDense {
	root := rootOf(covariance)
	inner := quadratic(mat.DenseCopyOf(root.T()), told)
	var eig mat.EigenSym
	if !eig.Factorize(inner, true) {
		return covariance
	}
	var vectors, turned mat.Dense
	eig.VectorsTo(&vectors)
	values, n := eig.Values(nil), inner.SymmetricDim()
	turned.Mul(root, &vectors)
	scaled := scaleColumns(&turned, n, func(j int) float64 { return 1 / math.Sqrt(math.Max(1, values[j])) })
	out := mat.NewSymDense(n, nil)
	out.SymOuterK(1, mat.DenseCopyOf(scaled))
	return out
}

// tabletView is what the tablets tell of the surfaces, the curve unknown, as normal
// equations.
type tabletView struct {
	info *mat.SymDense
	rhs  *mat.VecDense
}

func newTabletView(own *mat.SymDense, pull, gain *mat.Dense, rhs, curve *mat.VecDense, at []float64) *tabletView {
	n := own.SymmetricDim()
	var taken mat.Dense
	taken.Mul(pull.T(), gain)
	v := &tabletView{mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)}
	for i := range n {
		for j := i; j < n; j++ {
			v.info.SetSym(i, j, own.At(i, j)-(taken.At(i, j)+taken.At(j, i))/2)
		}
	}
	v.rhs.MulVec(gain.T(), curve)
	v.rhs.SubVec(rhs, v.rhs)
	var here mat.VecDense
	here.MulVec(v.info, mat.NewVecDense(n, at))
	v.rhs.AddVec(v.rhs, &here)
	return v
}
