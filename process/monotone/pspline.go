package monotone

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// pspline is the least-squares problem of fitting B-splines to weighted
// readings with a penalty on second differences of the coefficients (Eilers &
// Marx 1996), reduced to its normal equations.
type pspline struct {
	basis   basis
	gram    *mat.SymDense // B'WB
	penalty *mat.SymDense // D2'D2
	rhs     *mat.VecDense // B'Wy
	yy      float64       // y'Wy
	n       int           // readings
}

// newPspline collects the normal equations of readings y at x with weights w
// (nil for equal ones).
func newPspline(b basis, x, y, w []float64) *pspline {
	size := b.size()
	p := &pspline{basis: b, gram: mat.NewSymDense(size, nil), penalty: differencePenalty(size),
		rhs: mat.NewVecDense(size, nil), n: len(x)}
	for i := range x {
		wi := 1.0
		if w != nil {
			wi = w[i]
		}
		first, v := b.at(x[i])
		for j := range v {
			p.rhs.SetVec(first+j, p.rhs.AtVec(first+j)+wi*v[j]*y[i])
			for k := j; k < len(v); k++ {
				p.gram.SetSym(first+j, first+k, p.gram.At(first+j, first+k)+wi*v[j]*v[k])
			}
		}
		p.yy += wi * y[i] * y[i]
	}
	return p
}

// differencePenalty returns D'D, D taking second differences.
func differencePenalty(size int) *mat.SymDense {
	p := mat.NewSymDense(size, nil)
	d := [3]float64{1, -2, 1}
	for i := 0; i+2 < size; i++ {
		for j := range d {
			for k := j; k < len(d); k++ {
				p.SetSym(i+j, i+k, p.At(i+j, i+k)+d[j]*d[k])
			}
		}
	}
	return p
}

// system returns gram + lambda penalty, plus stiffness on the first
// differences that are marked in held.
func (p *pspline) system(lambda, stiffness float64, held []bool) *mat.SymDense {
	size := p.basis.size()
	a := mat.NewSymDense(size, nil)
	for i := 0; i < size; i++ {
		for j := i; j < size; j++ {
			a.SetSym(i, j, p.gram.At(i, j)+lambda*p.penalty.At(i, j))
		}
	}
	for i, h := range held {
		if h {
			a.SetSym(i, i, a.At(i, i)+stiffness)
			a.SetSym(i+1, i+1, a.At(i+1, i+1)+stiffness)
			a.SetSym(i, i+1, a.At(i, i+1)-stiffness)
		}
	}
	return a
}

// solve returns the coefficients of the penalised fit. ok is false when the
// readings do not fix them.
func (p *pspline) solve(lambda, stiffness float64, held []bool) (coef []float64, ok bool) {
	var chol mat.Cholesky
	if !chol.Factorize(p.system(lambda, stiffness, held)) {
		return nil, false
	}
	var a mat.VecDense
	_ = chol.SolveVecTo(&a, p.rhs) // it warns of the stiffness, which is meant to be large
	coef = a.RawVector().Data
	return coef, !floats.HasNaN(coef) && !math.IsInf(floats.Norm(coef, 1), 1)
}

// rising returns the coefficients of the fit with stiffness on every first
// difference that is negative (K. Bollaerts, P. H. C. Eilers & I. van
// Mechelen, Br. J. Math. Stat. Psychol. 59 (2006) 451-469). It starts from the
// differences in held, which it updates, and stops when they settle or after
// rounds solutions.
func (p *pspline) rising(lambda, stiffness float64, held []bool, rounds int) (coef []float64, ok bool) {
	for range rounds {
		if coef, ok = p.solve(lambda, stiffness, held); !ok {
			return nil, false
		}
		settled := true
		for i := range held {
			falls := coef[i+1] < coef[i]
			settled = settled && falls == held[i]
			held[i] = falls
		}
		if settled {
			break
		}
	}
	return coef, true
}
