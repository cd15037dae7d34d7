package leastsquares

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Result is where Solve ended.
type Result struct {
	P          []float64  // parameters, length N
	Residuals  []float64  // at P, length M
	Jacobian   *mat.Dense // at P, M x N
	RSS        float64    // sum of the squared residuals
	Rank       int        // of the column-scaled Jacobian; below N the data do not fix all parameters
	Iterations int        // Jacobians evaluated
	Status     Status
}

// Solve returns the parameters near start at which the sum of squared
// residuals is least.
//
// start has length pr.N and is not changed. A nil o means the defaults. After
// the buffers at the start it allocates nothing per iteration.
//
// It fails with *NotFiniteError when a residual is not finite at the start or
// a derivative is not finite anywhere on the way, and with an error when the
// lengths do not fit. When it stops at what is not a minimum it returns both
// the best point found and *NotConvergedError. A rank-deficient minimum is a
// minimum: Rank shows it and Covariance refuses it.
func Solve(pr Problem, start []float64, o *Options) (*Result, error) {
	if err := pr.check(start); err != nil {
		return nil, err
	}
	s := newSolver(pr, start, o.withDefaults())
	if err := s.begin(); err != nil {
		return nil, err
	}
	status, err := s.run()
	if err == nil && status.Converged() {
		err = s.polish()
	}
	if err != nil {
		return nil, err
	}
	r := &Result{P: s.p, Residuals: s.r, Jacobian: s.j, RSS: s.rss,
		Iterations: s.iterations, Status: status}
	r.Rank = rank(s.j)
	if !status.Converged() {
		return r, &NotConvergedError{Status: status, Iterations: s.iterations}
	}
	return r, nil
}

// minDamping keeps the damped system regular where the Jacobian is not.
const minDamping = 1e-16

// solver holds the point, the trial point and every buffer.
type solver struct {
	pr         Problem
	o          Options
	p, pTrial  []float64
	r, rTrial  []float64
	rss        float64
	rssStart   float64
	j          *mat.Dense
	fac        *factors
	scale      []float64 // column scales D, never shrinking (Moré 1978, section 6)
	step       []float64
	damping    float64 // in units of D^2
	growth     float64 // factor of the next rejected step (Nielsen 1999)
	iterations int
}

func newSolver(pr Problem, start []float64, o Options) *solver {
	return &solver{
		pr: pr, o: o,
		p: append([]float64(nil), start...), pTrial: make([]float64, pr.N),
		r: make([]float64, pr.M), rTrial: make([]float64, pr.M),
		j: mat.NewDense(pr.M, pr.N, nil), fac: newFactors(pr.M, pr.N),
		scale: make([]float64, pr.N), step: make([]float64, pr.N),
		damping: o.Damping, growth: 2,
	}
}

// begin evaluates the residuals at the start and refuses what is not finite.
func (s *solver) begin() error {
	s.pr.Residuals(s.p, s.r)
	for i, v := range s.r {
		if !finite(v) {
			return &NotFiniteError{What: "residual", Row: i, Column: -1, Value: v}
		}
	}
	s.rss = floats.Dot(s.r, s.r)
	s.rssStart = s.rss
	if !finite(s.rss) {
		return errors.New("least squares: the sum of squares overflows at the start")
	}
	return nil
}

// run iterates until a convergence test holds or nothing more can be done. The
// Jacobian is always that of the point it leaves in s.p.
func (s *solver) run() (Status, error) {
	var pending Status
	for {
		if err := s.linearise(); err != nil {
			return 0, err
		}
		switch {
		case s.rss == 0:
			return ExactFit, nil
		case s.gradientCosine() <= s.o.GradientTol:
			return SmallGradient, nil
		case pending != 0 && s.atMinimum():
			return pending, nil
		case s.iterations >= s.o.MaxIterations:
			return IterationLimit, nil
		}
		var moved bool
		if pending, moved = s.descend(); !moved {
			return pending, nil
		}
	}
}

// linearise evaluates and factorises the Jacobian at p and updates the scales.
func (s *solver) linearise() error {
	s.iterations++
	s.j.Zero()
	s.pr.Jacobian(s.p, s.j)
	raw := s.j.RawMatrix()
	for i := 0; i < raw.Rows; i++ {
		for k, v := range raw.Data[i*raw.Stride : i*raw.Stride+raw.Cols] {
			if !finite(v) {
				return &NotFiniteError{What: "derivative", Row: i, Column: k, Value: v}
			}
		}
	}
	s.fac.factorise(s.j, s.r)
	for k := range s.scale {
		s.scale[k] = math.Max(s.scale[k], s.fac.norm(k))
		if s.scale[k] == 0 { // a parameter that nothing depends on yet
			s.scale[k] = 1
		}
	}
	return nil
}

// gradientCosine returns the largest cosine of the angle between the residuals
// and a column of the Jacobian: zero at a minimum, whatever the units.
func (s *solver) gradientCosine() float64 {
	worst := 0.0
	for k := range s.p {
		if n := s.fac.norm(k); n > 0 {
			worst = math.Max(worst, math.Abs(s.fac.gradient(k))/n)
		}
	}
	return worst / math.Sqrt(s.rss)
}

// descend shortens the step until one reduces the sum of squares, and takes
// it. The status is not zero when this is the last step; moved tells whether
// the point changed.
func (s *solver) descend() (status Status, moved bool) {
	for {
		forecast, ok := s.fac.damped(s.damping, s.scale, s.step)
		if ok {
			short := s.stepIsSmall()
			actual := s.rss - s.try()
			if actual > 0 {
				status = s.judge(actual, forecast, short)
				s.accept(actual / forecast)
				return status, true
			}
			if status = s.judge(0, forecast, short); status != 0 {
				if !s.atMinimum() {
					status = Stalled
				}
				return status, false
			}
		}
		s.damping *= s.growth
		s.growth *= 2
		if s.damping > 1e30 || math.IsInf(s.growth, 1) {
			return Stalled, false
		}
	}
}

// judge returns why no step need follow this one, zero when one should.
func (s *solver) judge(actual, forecast float64, short bool) Status {
	switch {
	case short:
		return SmallStep
	case actual <= s.o.ReductionTol*s.rss && forecast <= s.o.ReductionTol*s.rss:
		return SmallReduction
	}
	return 0
}

// atMinimum tells a minimum from a point where only the damping makes steps
// short: there an undamped step is long and forecasts a reduction worth having.
// Of an exact fit only rounding is left, which a step forecasts to remove.
func (s *solver) atMinimum() bool {
	forecast, ok := s.fac.damped(minDamping, s.scale, s.step)
	return !ok || forecast <= 1e-8*s.rss || s.stepIsSmall() || s.rss <= 1e-28*s.rssStart
}

// stepIsSmall compares the scaled lengths of step and parameters.
func (s *solver) stepIsSmall() bool {
	var step, p float64
	for k, d := range s.scale {
		step = math.Hypot(step, d*s.step[k])
		p = math.Hypot(p, d*s.p[k])
	}
	return step <= s.o.StepTol*(p+s.o.StepTol)
}

// try evaluates the residuals after the step and returns their sum of squares,
// +Inf where the step leads to what is not finite.
func (s *solver) try() float64 {
	floats.AddTo(s.pTrial, s.p, s.step)
	s.pr.Residuals(s.pTrial, s.rTrial)
	rss := floats.Dot(s.rTrial, s.rTrial)
	if !finite(rss) {
		return math.Inf(1)
	}
	return rss
}

// accept moves to the trial point; gain is actual over forecast reduction
// (Nielsen 1999, eq. 2.10).
func (s *solver) accept(gain float64) {
	s.swap()
	c := 2*gain - 1
	s.damping = math.Max(s.damping*math.Max(1.0/3, 1-c*c*c), minDamping)
	s.growth = 2
}

// polishSteps is how often polish may step; each multiplies the error by the
// rate of Gauss-Newton at the minimum, 0.5 or better for most problems.
const polishSteps = 20

// polished is the forecast, over the sum of squares, at which polish is done:
// the parameters are then within about 1e-10 standard deviations.
const polished = 1e-20

// polish takes all but undamped steps from a minimum for as long as what they
// still forecast shrinks. The sum of squares is flat there: comparing its
// values finds the parameters to half the digits of the machine, the forecast,
// which is the residuals' projection on the Jacobian, to nearly all.
func (s *solver) polish() error {
	left, ok := s.fac.damped(minDamping, s.scale, s.step)
	for i := 0; i < polishSteps && ok && left > polished*s.rss; i++ {
		if s.try() > s.rss*(1+1e-13) {
			return nil
		}
		s.swap()
		if err := s.linearise(); err != nil {
			return err
		}
		before := left
		if left, ok = s.fac.damped(minDamping, s.scale, s.step); ok && left >= before {
			s.swap()
			return s.linearise()
		}
	}
	return nil
}

// swap exchanges the point and the trial point.
func (s *solver) swap() {
	s.p, s.pTrial = s.pTrial, s.p
	s.r, s.rTrial = s.rTrial, s.r
	s.rss = floats.Dot(s.r, s.r)
}
