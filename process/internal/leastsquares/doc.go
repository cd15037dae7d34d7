// Package leastsquares finds the parameters that make a sum of squared
// residuals least: a damped, scaled Gauss-Newton method of the
// Levenberg-Marquardt class with an analytic Jacobian.
//
// It refuses problems with fewer residuals than parameters, a start at which
// the residuals are not finite, and a Jacobian that is not finite where the
// residuals are. It never stops in silence: whatever is not a minimum comes
// back as an error that carries its Status, beside the best point found.
//
// Bounds are not its business: use parameters that cannot leave their range
// (the logarithm of a positive one), or add a residual that is a prior.
//
// Start reading at Solve. The damped step is in step.go; CheckJacobian is for
// the tests of those who write a Jacobian.
//
// Sources: J. J. Moré, "The Levenberg-Marquardt algorithm: implementation and
// theory", Lecture Notes in Mathematics 630 (1978) 105-116, for the scaling,
// the two QR factorisations and the convergence tests; H. B. Nielsen, "Damping
// parameter in Marquardt's method", IMM-REP-1999-05, Technical University of
// Denmark, for the damping.
package leastsquares
