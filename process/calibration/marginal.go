package calibration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// The surfaces take part in every reading, and their prior in none of the
// hypotheses about curves. So they are worked out of the normal equations once a
// belief about their size, what is left is averaged as if all sheets were even,
// and the surfaces follow from the outcome (block elimination; Golub & Van Loan,
// Matrix Computations, 1996, 3.2.1).

// reduced is a linearised problem without its surfaces, and the way back.
type reduced struct {
	normalEquations
	logWeight float64       // evidence gained
	covar     *mat.SymDense // of the surfaces when the curves are known
	gain      *mat.Dense    // how far the surfaces give way to the curves
	offset    []float64     // the surfaces when the curves' parameters are 0
	prior     []float64
}

// reduce works the surfaces out of eq; nil when arithmetic cannot tell them.
func (m *model) reduce(eq normalEquations, b sizes) *reduced {
	n, core := m.size(), m.core()
	prior, logDet := m.uneven.precision(b)
	r := &reduced{prior: prior, logWeight: b.logWeight}
	own := mat.NewSymDense(n-core, nil)
	own.CopySym(eq.info.SliceSym(core, n))
	for i, p := range prior {
		own.SetSym(i, i, own.At(i, i)+p)
	}
	var chol mat.Cholesky
	if !chol.Factorize(own) {
		return nil
	}
	cross := mat.NewDense(n-core, core, nil)
	for i := range n - core {
		for k := range core {
			cross.Set(i, k, eq.info.At(core+i, k))
		}
	}
	rhs := mat.NewVecDense(n-core, eq.rhs[core:])
	offset := mat.NewVecDense(n-core, nil)
	r.gain, r.covar = new(mat.Dense), mat.NewSymDense(n-core, nil)
	if chol.SolveTo(r.gain, cross) != nil || chol.SolveVecTo(offset, rhs) != nil || chol.InverseTo(r.covar) != nil {
		return nil
	}
	r.offset = offset.RawVector().Data
	r.logWeight += (logDet - chol.LogDet() + mat.Dot(rhs, offset)) / 2
	r.normalEquations = without(eq, cross, r.gain, r.offset)
	return r
}

// without is eq's curves after the surfaces are worked out.
func without(eq normalEquations, cross, gain *mat.Dense, offset []float64) normalEquations {
	_, core := cross.Dims()
	var taken mat.Dense
	taken.Mul(cross.T(), gain)
	info := mat.NewSymDense(core, nil)
	for i := range core {
		for k := i; k < core; k++ {
			info.SetSym(i, k, eq.info.At(i, k)-(taken.At(i, k)+taken.At(k, i))/2)
		}
	}
	rhs := mat.NewVecDense(core, nil)
	rhs.MulVec(cross.T(), mat.NewVecDense(len(offset), offset))
	out := slices.Clone(eq.rhs[:core])
	floats.Sub(out, rhs.RawVector().Data)
	return normalEquations{info: info, rhs: out}
}

// extend returns the belief about curves and surfaces, given that about curves.
func (r *reduced) extend(b belief) belief {
	core, own := len(b.mean), len(r.offset)
	out := belief{mean: make([]float64, core+own), covariance: mat.NewSymDense(core+own, nil), dof: b.dof,
		logWeight: b.logWeight + r.logWeight}
	copy(out.mean, b.mean)
	back := mat.NewVecDense(own, nil)
	back.MulVec(r.gain, mat.NewVecDense(core, b.mean))
	floats.SubTo(out.mean[core:], r.offset, back.RawVector().Data)
	var through, spread mat.Dense
	through.Mul(r.gain, b.covariance)
	spread.Mul(&through, r.gain.T())
	copyBlock(out.covariance, b.covariance, 0)
	for i := range own {
		for k := range core {
			out.covariance.SetSym(k, core+i, -through.At(i, k))
		}
		for k := i; k < own; k++ {
			out.covariance.SetSym(core+i, core+k, r.covar.At(i, k)+spread.At(i, k))
		}
		out.dof += math.Max(0, 1-r.prior[i]*out.covariance.At(core+i, core+i))
	}
	return out
}

// unlikely is the log evidence below the best at which a belief about the
// surfaces' size is not followed up: less than one part in a thousand.
const unlikely = 7

// likely returns the reduced problems of the beliefs about the surfaces that the
// readings leave standing, judged by the loosest hypothesis about curves.
func (m *model) likely(eq normalEquations, hyps []hypothesis) []*reduced {
	var all []*reduced
	var weight []float64
	best, probe := math.Inf(-1), hyps[len(hyps)-1]
	for _, b := range m.uneven.beliefs() {
		r := m.reduce(eq, b)
		if r == nil {
			continue
		}
		if s := m.posterior(r.normalEquations, probe, m.priorMean()); s != nil {
			all, weight = append(all, r), append(weight, s.logWeight+r.logWeight)
			best = math.Max(best, s.logWeight+r.logWeight)
		}
	}
	var out []*reduced
	for i, r := range all {
		if weight[i] > best-unlikely {
			out = append(out, r)
		}
	}
	return out
}

// mix weighs beliefs by their evidence, as combine does components. Empty ones
// are left out; without any other the mixture is empty.
func mix(parts []belief) belief {
	parts = slices.DeleteFunc(parts, func(b belief) bool { return b.mean == nil })
	if len(parts) == 0 {
		return belief{}
	}
	top := slices.MaxFunc(parts, func(a, b belief) int { return int(math.Copysign(1, a.logWeight-b.logWeight)) }).logWeight
	share, total := make([]float64, len(parts)), 0.0
	for i, b := range parts {
		share[i] = math.Exp(b.logWeight - top)
		total += share[i]
	}
	floats.Scale(1/total, share)
	n := len(parts[0].mean)
	out := belief{mean: make([]float64, n), covariance: mat.NewSymDense(n, nil), logWeight: top + math.Log(total)}
	for i, b := range parts {
		floats.AddScaled(out.mean, share[i], b.mean)
	}
	for i, b := range parts {
		out.dof += share[i] * b.dof
		floats.AddScaled(out.covariance.RawSymmetric().Data, share[i], b.covariance.RawSymmetric().Data)
		away := make([]float64, n)
		floats.SubTo(away, b.mean, out.mean)
		out.covariance.SymRankOne(out.covariance, share[i], mat.NewVecDense(n, away))
	}
	return out
}
