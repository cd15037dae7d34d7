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
	// converged is false when the last solution was not yet a minimum.
	converged bool
	mid       *evaluator // of the mean; built when first asked for
}

// The rounds of a fit: solve under the likeliest hypothesis, average over all,
// estimate the noise and the readings' weights anew. It ends when the noise
// has settled.
const (
	leastRounds = 3
	mostRounds  = 8
	settled     = 0.03
)

// solve fits the model to its observations. start is a first guess of the
// noise, one value a group.
func (m *model) solve(start noise) (*fitted, error) { return m.solveOver(m.hypotheses(), start) }

// solveOver is solve with the hypotheses given, so that a test can show what
// averaging over them is worth.
func (m *model) solveOver(hyps []hypothesis, start noise) (*fitted, error) {
	f := &fitted{model: m, noise: slices.Clone(start), weights: make(weights, len(m.obs))}
	for i := range f.weights {
		f.weights[i] = 1
	}
	prior, _ := m.assemble(hyps[len(hyps)-1])
	p := m.priorMean()
	var err error
	for k := range mostRounds {
		if p, f.converged, err = m.mostLikely(p, prior, f.noise, f.weights); err != nil {
			return nil, err
		}
		eq := m.equations(p, f.noise, f.weights)
		f.belief = m.average(eq, hyps)
		if f.likeliest == nil {
			return nil, errNoAnswer
		}
		prior = m.priorOf(f.likeliest)
		f.residual, _ = m.linearised(f.mean)
		before := slices.Clone(f.noise)
		if k > 0 {
			f.estimateNoise()
		}
		f.reweigh()
		if k+1 >= leastRounds && f.hasSettled(before) {
			break
		}
	}
	f.likeliest = nil // it holds much that nobody asks for again
	return f, nil
}

// errNoAnswer says that no hypothesis could be worked out: readings that differ
// by too many powers of ten in their stated uncertainties, say.
var errNoAnswer = errors.New("the readings do not fix a curve")

func (f *fitted) hasSettled(before noise) bool {
	for g, s := range f.noise {
		if math.Abs(s/before[g]-1) > settled {
			return false
		}
	}
	return true
}

// estimateNoise takes the noise of each group from the residuals, weighted. The
// degrees of freedom that the fit used are shared by the groups' sizes.
func (f *fitted) estimateNoise() {
	n := float64(len(f.obs))
	for g := range f.noise {
		sum, count := 0.0, 0.0
		for i, o := range f.obs {
			if o.group == g {
				r := f.residual[i] / o.scale
				sum += f.weights[i] * r * r
				count += f.weights[i]
			}
		}
		free := count * math.Max(0.3, 1-f.dof/n)
		f.noise[g] = math.Max(math.Sqrt(sum/free), leastNoise)
	}
}

// reweigh gives each reading its robust weight.
func (f *fitted) reweigh() {
	for i, o := range f.obs {
		f.weights[i] = robustWeight(f.residual[i] / (o.scale * f.noise[o.group]))
	}
}

// leastNoise keeps a fit of faultless readings from dividing by nothing: a
// fiftieth of the finest step that anyone reads.
const leastNoise = 2e-4

// curves returns the evaluator of the mean parameters.
func (f *fitted) curves() *evaluator {
	if f.mid == nil {
		f.mid = f.at(f.mean)
	}
	return f.mid
}
