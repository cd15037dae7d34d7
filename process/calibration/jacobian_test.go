package calibration

import (
	"math"
	"math/rand/v2"
	"testing"

	"actinic/process/measure"
)

// The derivatives of every reading by every parameter, for a model that has all
// of them: five prints, two of them on uneven sheets, tablets over the film and in
// a cut-out, ramps, density and L*, rising and falling papers.
func TestJacobian(t *testing.T) {
	for _, falling := range []bool{false, true} {
		over := darkroomScene()
		over.levels, over.repeats, over.steps, over.falling = 9, 1, 8, falling
		cut, dense := over, over
		cut.cutOut, cut.base = true, 0.12
		dense.unit, dense.noise = measure.InDensity, 0.01
		uneven := unevenScene{scene: over}
		m, _ := collect([]Print{over.print(1), cut.print(2), uneven.print(4), dense.print(3), uneven.print(5)}, &Options{Falling: falling})
		if m.size() <= m.core() {
			t.Fatal("no parameters of unevenness")
		}
		p := randomParameters(m)
		_, jac := m.linearised(p)
		for k := range p {
			const h = 1e-6
			at := p[k]
			p[k] = at + h
			up, _ := m.linearised(p)
			p[k] = at - h
			down, _ := m.linearised(p)
			p[k] = at
			for i := range up {
				want := (down[i] - up[i]) / (2 * h) // residuals are readings less the model
				if got := jac.At(i, k); math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
					t.Errorf("falling %v, observation %d %+v by parameter %d: %g, want %g", falling, i, m.obs[i].unit, k, got, want)
				}
			}
		}
	}
}

func randomParameters(m *model) []float64 {
	rng := rand.New(rand.NewPCG(8, 8))
	p := append(m.priorMean(), make([]float64, m.uneven.size())...)
	for k := range p {
		p[k] += 0.1 * rng.NormFloat64()
	}
	return p
}

// A paper reading belongs to the print that it came from: each parameter moves
// its own readings and no others.
func TestJacobianReaches(t *testing.T) {
	s := darkroomScene()
	s.levels, s.repeats, s.steps = 9, 1, 8
	c := s
	c.cutOut, c.base = true, 0.12
	m, _ := collect([]Print{s.print(1), c.print(2)}, &Options{})
	_, jac := m.linearised(randomParameters(m))
	for i, o := range m.obs {
		if moves := jac.At(i, atBase) != 0; moves != o.cutOut {
			t.Errorf("observation %d: moved by the film base: %v", i, moves)
		}
		if moves := jac.At(i, m.deviation(1-o.print)+2) != 0; moves {
			t.Errorf("observation %d is moved by the other print's exposure", i)
		}
		if moves := jac.At(i, m.atRamp()) != 0; moves != (math.IsNaN(o.tablet) && o.ink > 0) {
			t.Errorf("observation %d: moved by the ink's scale: %v", i, moves)
		}
	}
}
