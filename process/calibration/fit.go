package calibration

import (
	"errors"
	"math"
	"slices"
)

// fitted is the outcome of a fit: the model with the belief about its
// parameters, the noise found and the readings' weights.
type fitted struct {
	*model
	belief
	noise    noise
	weights  weights
	residual []float64
	// atRest says that the curves of the mean parameters are those of the
	// linearisation they came from.
	atRest bool
	mid    *evaluator // of the mean; built when first asked for
}

// The rounds of a fit: average over all hypotheses, about the last round's mean,
// until the mean is at rest; then estimate the noise and the readings' weights
// anew. The first round begins at the solution of the loosest hypothesis. It
// ends when the noise has settled.
const (
	leastRounds = 3
	mostRounds  = 12
	mostSteps   = 8    // of a round
	settled     = 0.03 // of the noise
	farOff      = 0.02 // sum of squares above that of the linearisation, in noise squared a reading
)

// solve fits the model to its observations. start is a first guess of the
// noise.
func (m *model) solve(start noise) (*fitted, error) { return m.solveOver(m.hypotheses(), start) }

// solveOver fits the model, averaging over hypotheses whose last is the loosest.
func (m *model) solveOver(hyps []hypothesis, start noise) (*fitted, error) {
	f := &fitted{model: m, noise: slices.Clone(start), weights: make(weights, len(m.obs))}
	for i := range f.weights {
		f.weights[i] = 1
	}
	prior, _ := m.assemble(hyps[len(hyps)-1])
	at, err := m.mostLikely(m.priorMean(), prior, f.noise, f.weights)
	if err != nil {
		return nil, err
	}
	at = append(at, make([]float64, m.uneven.size())...) // even sheets, to begin with
	for k := range mostRounds {
		if err := f.settle(at, hyps); err != nil {
			return nil, err
		}
		at = f.mean
		before := slices.Clone(f.noise)
		if k > 0 {
			f.estimateNoise()
		}
		f.reweigh()
		if k+1 >= leastRounds && f.atRest && f.hasSettled(before) {
			break
		}
	}
	return f, nil
}

// settle averages over the hypotheses about at, and again about the outcome,
// until that is at rest.
func (f *fitted) settle(at []float64, hyps []hypothesis) error {
	f.atRest = false
	for range mostSteps {
		f.belief = f.average(f.equations(at, f.noise, f.weights), hyps)
		if f.mean == nil {
			return errNoAnswer
		}
		if at = f.compare(at); f.atRest {
			return nil
		}
	}
	return nil
}

// compare takes the residuals of the mean and holds their sum of squares
// against what the linearisation about at foretold. It returns where to
// linearise next: the mean, or less far when the readings fit worse there.
func (f *fitted) compare(at []float64) []float64 {
	here, jac := f.linearised(at)
	f.residual, _ = f.linearised(f.mean)
	foretold := slices.Clone(here)
	for i := range foretold {
		for k, d := range jac.RawRowView(i) {
			foretold[i] -= d * (f.mean[k] - at[k])
		}
	}
	room := farOff * float64(len(here))
	f.atRest = f.squares(f.residual) <= f.squares(foretold)+room
	limit := f.squares(here) + room
	next := slices.Clone(f.mean)
	for range 4 {
		if r, _ := f.linearised(next); f.squares(r) <= limit {
			break
		}
		for k := range next {
			next[k] = (next[k] + at[k]) / 2
		}
	}
	return next
}

// squares is the sum of squares of residuals in terms of their noise.
func (f *fitted) squares(residual []float64) float64 {
	sum := 0.0
	for i, w := range f.whiten(f.noise, f.weights) {
		sum += math.Pow(w*residual[i], 2)
	}
	return sum
}

// errNoAnswer says that no hypothesis could be worked out: readings that differ
// by too many powers of ten in their stated uncertainties, say.
var errNoAnswer = errors.New("the readings do not fix a curve")

// reweigh gives each reading its robust weight.
func (f *fitted) reweigh() {
	for i, o := range f.obs {
		f.weights[i] = robustWeight(f.residual[i] / f.noise.of(&o))
	}
}

// curves returns the evaluator of the mean parameters.
func (f *fitted) curves() *evaluator {
	if f.mid == nil {
		f.mid = f.at(f.mean)
	}
	return f.mid
}
