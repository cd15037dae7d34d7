package leastsquares

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Problem is a vector of M residuals that depend on N parameters, M >= N.
type Problem struct {
	// Residuals writes the M residuals at the N parameters p into r. It must
	// keep neither slice and must write every element. A residual that is not
	// finite marks p as forbidden: the solver takes a shorter step.
	Residuals func(p, r []float64)
	// Jacobian writes dr_i/dp_k at p into element (i, k) of the M x N matrix
	// j, which comes zeroed: elements that are zero need no writing.
	Jacobian func(p []float64, j *mat.Dense)
	M, N     int
}

// Options steer Solve. A nil *Options, and any zero field, means the default.
type Options struct {
	MaxIterations int     // Jacobians to evaluate at most; default 500
	StepTol       float64 // scaled length of a step over that of the parameters; default 1e-10
	GradientTol   float64 // cosine of the angle between residuals and any Jacobian column; default 1e-10
	ReductionTol  float64 // relative reduction of the sum of squares; default 1e-14
	Damping       float64 // damping of the first step, in units of the squared column norms; default 1e-3
}

// withDefaults returns o with every zero field filled in.
func (o *Options) withDefaults() Options {
	d := Options{MaxIterations: 500, StepTol: 1e-10, GradientTol: 1e-10, ReductionTol: 1e-14, Damping: 1e-3}
	if o == nil {
		return d
	}
	if o.MaxIterations > 0 {
		d.MaxIterations = o.MaxIterations
	}
	for _, f := range []struct{ to, from *float64 }{
		{&d.StepTol, &o.StepTol}, {&d.GradientTol, &o.GradientTol},
		{&d.ReductionTol, &o.ReductionTol}, {&d.Damping, &o.Damping},
	} {
		if *f.from > 0 {
			*f.to = *f.from
		}
	}
	return d
}

// Status says why Solve stopped.
type Status int

// The first four are minima; the rest come with an error.
const (
	ExactFit       Status = iota + 1 // every residual is zero
	SmallGradient                    // residuals at right angles to every Jacobian column
	SmallStep                        // the step no longer moves the parameters
	SmallReduction                   // neither forecast nor achieved reduction is worth a step
	IterationLimit                   // MaxIterations used up
	Stalled                          // no step, however short, reduces the sum of squares
)

// Converged reports whether s is a minimum.
func (s Status) Converged() bool { return s >= ExactFit && s <= SmallReduction }

// String returns the status in words.
func (s Status) String() string {
	names := []string{"not started", "exact fit", "gradient vanished", "step vanished",
		"reduction vanished", "iteration limit reached", "no step reduces the sum of squares"}
	if s < 0 || int(s) >= len(names) {
		return fmt.Sprintf("status %d", int(s))
	}
	return names[s]
}

// NotConvergedError comes with the best point found when that is no minimum.
type NotConvergedError struct {
	Status     Status
	Iterations int
}

// Error returns the status and the number of iterations.
func (e *NotConvergedError) Error() string {
	return fmt.Sprintf("least squares did not converge: %v after %d iterations", e.Status, e.Iterations)
}

// NotFiniteError names the first residual or derivative that is NaN or infinite.
type NotFiniteError struct {
	What   string // "residual" or "derivative"
	Row    int    // residual
	Column int    // parameter, -1 for a residual
	Value  float64
}

// Error returns what was not finite and where.
func (e *NotFiniteError) Error() string {
	if e.Column < 0 {
		return fmt.Sprintf("least squares: %s %d is %v at the start", e.What, e.Row, e.Value)
	}
	return fmt.Sprintf("least squares: %s of residual %d to parameter %d is %v", e.What, e.Row, e.Column, e.Value)
}

// ErrRankDeficient says that the data do not fix all parameters.
var ErrRankDeficient = errors.New("least squares: the data do not fix all parameters (rank-deficient Jacobian)")

// check returns an error when the problem or its start cannot be used.
func (pr *Problem) check(start []float64) error {
	switch {
	case pr.Residuals == nil || pr.Jacobian == nil:
		panic("leastsquares: Problem without Residuals or Jacobian")
	case pr.N < 1 || len(start) != pr.N:
		return fmt.Errorf("least squares: %d starting values for %d parameters", len(start), pr.N)
	case pr.M < pr.N:
		return fmt.Errorf("least squares: %d residuals cannot fix %d parameters", pr.M, pr.N)
	}
	for k, v := range start {
		if !finite(v) {
			return fmt.Errorf("least squares: starting value %d is %v", k, v)
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
