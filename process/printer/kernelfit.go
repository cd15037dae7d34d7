package printer

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// evidence is how well a kernel explains some colours: the log marginal
// likelihood (Rasmussen & Williams eq. 2.30) with the logarithms of the kernel's
// seven numbers held near what is usual.
type evidence struct {
	places []place
	value  []float64     // of the colours' means, mix and known offsets taken off
	base   *mat.SymDense // covariance by the mix, the terms and the readings
}

// Numbers of a kernel, in the order of kernel.logs.
const kernelCount = 7

// kernelSpread is the prior standard deviation of a kernel's logarithms about
// those of the usual one (working values of ours).
var kernelSpread = [kernelCount]float64{0.8, 0.4, 0.8, 0.4, 0.8, 0.4, 0.8}

// logs returns the logarithms of a kernel's numbers.
func (k *kernel) logs() []float64 {
	v := []float64{k.each.sd, k.each.length, k.smooth.sd, k.smooth.length, k.rough.sd, k.rough.length, k.nugget}
	for i := range v {
		v[i] = math.Log(v[i])
	}
	return v
}

// kernelOf is the inverse of logs.
func kernelOf(logs []float64) kernel {
	e := func(i int) float64 { return math.Exp(logs[i]) }
	return kernel{each: part{e(0), e(1)}, smooth: part{e(2), e(3)}, rough: part{e(4), e(5)}, nugget: e(6)}
}

// mostJudges is how many colours decide on the kernel: its seven numbers need no
// more, and time goes with the cube.
const mostJudges = 180

// judges returns up to mostJudges colours that are known as numbers, drawn the
// same way each time.
func (d *design) judges() []int {
	var all, out []int
	for i, c := range d.sums.colours {
		if c.weight > 0 && c.measured() && !d.clear[i] {
			all = append(all, i)
		}
	}
	for _, k := range rand.New(rand.NewPCG(1, 0)).Perm(len(all)) {
		if len(out) < mostJudges {
			out = append(out, all[k])
		}
	}
	return out
}

// newEvidence takes the colours that decide.
func (d *design) newEvidence(judges []int) *evidence {
	n, terms := len(judges), d.sums.count
	e := &evidence{places: make([]place, n), value: make([]float64, n), base: mat.NewSymDense(n, nil)}
	m := newMix(d.p)
	known := mat.NewDense(n, terms+mixCount, nil) // rows times prior deviations
	for i, at := range judges {
		c, row := d.sums.colours[at], d.rows.RawRowView(at)[:mixCount]
		e.places[i] = d.basis.kernel.placeOf(m, c.rgb)
		e.value[i] = c.mean - d.uv[at]
		for k, z := range c.terms {
			known.Set(i, k, z*d.sums.termSD[k])
		}
		for k, v := range row {
			known.Set(i, terms+k, v*d.prior.sd[k])
			e.value[i] -= v * (d.prior.mean[k] - d.p[k])
		}
	}
	e.base.SymOuterK(1, known)
	for i, at := range judges {
		e.base.SetSym(i, i, e.base.At(i, i)+1/d.sums.colours[at].weight)
	}
	return e
}

// of returns the log evidence of a kernel by its logarithms, the prior included,
// and writes its gradient into gradient. It is minus infinity where arithmetic
// cannot tell.
func (e *evidence) of(logs, gradient []float64) float64 {
	k := kernelOf(logs)
	value := e.likelihood(&k, gradient)
	usual := usualKernel()
	for i, u := range usual.logs() {
		off := (logs[i] - u) / kernelSpread[i]
		value -= off * off / 2
		gradient[i] -= off / kernelSpread[i]
	}
	return value
}

// likelihood returns the log marginal likelihood of a kernel, and writes its
// gradient to the logarithms into gradient.
func (e *evidence) likelihood(k *kernel, gradient []float64) float64 {
	n := len(e.places)
	total := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			total.SetSym(i, j, e.base.At(i, j)+k.between(&e.places[i], &e.places[j]))
		}
		total.SetSym(i, i, total.At(i, i)+k.irregular(&e.places[i]))
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	clear(gradient)
	if !chol.Factorize(total) || chol.InverseTo(&inverse) != nil {
		return math.Inf(-1)
	}
	value, alpha := mat.NewVecDense(n, e.value), mat.NewVecDense(n, nil)
	alpha.MulVec(&inverse, value)
	e.slopes(k, alpha, &inverse, gradient)
	return -(mat.Dot(alpha, value) + chol.LogDet() + float64(n)*math.Log(2*math.Pi)) / 2
}

// slopes writes the gradient of the log likelihood (eq. 5.9).
func (e *evidence) slopes(k *kernel, alpha *mat.VecDense, inverse *mat.SymDense, gradient []float64) {
	parts := [3]part{k.each, k.smooth, k.rough}
	for i := range e.places {
		a := &e.places[i]
		for j := i; j < len(e.places); j++ {
			b := &e.places[j]
			weight := alpha.AtVec(i)*alpha.AtVec(j) - inverse.At(i, j)
			if i == j {
				weight /= 2
				gradient[6] += 2 * weight * k.irregular(a)
			}
			value, slope := k.parts(a, b)
			for p, part := range parts {
				v := weight * a.reach * b.reach * part.sd * part.sd
				gradient[2*p] += 2 * v * value[p]
				gradient[2*p+1] += v * slope[p]
			}
		}
	}
}

// likeliest returns the kernel with the largest evidence, from a start.
func (e *evidence) likeliest(start kernel) kernel {
	k := kernelOf(climb(e.of, start.logs(), kernelSpread[:]))
	k.densest = start.densest
	return k
}
