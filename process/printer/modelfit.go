package printer

import (
	"slices"

	"actinic/process/fault"
)

// Sizes of the fit: how many functions the correction has in the rounds that
// judge readings, how many in the end, and how many rounds there are.
const (
	draftPivots = 120
	mostPivots  = 400
	draftRounds = 4
	finalRounds = 2
)

// boundSD is how sharp a bound is when nothing is said: a doubt that readings at
// the end of a print's reach often have. finestSD is the least doubt that a
// reading is believed to have (working values of ours).
const (
	boundSD  = 0.03
	finestSD = 0.001
)

// usualKernel is what is expected of printers before their colours are seen
// (working values of ours).
func usualKernel() kernel {
	return kernel{each: part{0.06, 0.25}, smooth: part{0.12, 0.8}, rough: part{0.06, 0.4}, nugget: 0.012}
}

// usualKernel is the same for the densest of these colours.
func (s *sums) usualKernel() kernel {
	k := usualKernel()
	var all []float64
	for _, c := range s.colours {
		if c.measured() {
			all = append(all, c.net)
		}
	}
	slices.Sort(all)
	k.densest = all[len(all)-1-len(all)/50] // an outlier or two may lie above
	return k
}

// fit makes the model of readings that are in order: first drafts find outliers,
// what bounds say and the nuisance terms; then the mix and the kernel are fitted
// to the readings so judged, and drafts judge them again.
func fit(s *sums) (*Model, error) {
	s.sumUp()
	s.setNet(make([]float64, s.count))
	prior := priorOf(typicalOf(s.colours))
	p := fitMix(s.toMix(), prior, prior.mean[:])
	draft := newDesign(s, prior, p, s.usualKernel(), draftPivots)
	sol, err := draft.settle(draftRounds)
	if err != nil {
		return nil, irreconcilable(err)
	}
	s.setNet(draft.coefficients(sol))
	p = fitMix(s.toMix(), prior, p)
	draft = newDesign(s, prior, p, s.usualKernel(), 1)
	k := draft.newEvidence(draft.judges()).likeliest(s.usualKernel())
	if draft = newDesign(s, prior, p, k, draftPivots); draft.larger() {
		if _, err = draft.settle(draftRounds); err != nil {
			return nil, irreconcilable(err)
		}
	}
	final := newDesign(s, prior, p, k, mostPivots)
	if sol, err = final.settle(finalRounds); err != nil {
		return nil, irreconcilable(err)
	}
	return newModel(final, sol), nil
}

// larger says whether the problem has more colours than functions, so that a
// draft saves time.
func (d *design) larger() bool { return len(d.uv) > d.basis.size() }

// settle solves and judges the readings in turn, and solves once more.
func (d *design) settle(rounds int) (*solution, error) {
	for range rounds {
		s, err := d.solve()
		if err != nil {
			return nil, err
		}
		d.judge(s)
	}
	return d.solve()
}

func irreconcilable(err error) error {
	return fault.Wrap(err, "", "", "the UV densities of the colours can't be reconciled with each other", "look for doubts that are far too small")
}

// setNet takes the terms, as far as they are known, off each colour's mean.
func (s *sums) setNet(coefficients []float64) {
	for _, c := range s.colours {
		c.net = c.mean - offset(c.terms, coefficients)
	}
}

// toMix returns the colours that say something about the mix.
func (s *sums) toMix() []*colourSum {
	var out []*colourSum
	for _, c := range s.colours {
		if c.rgb != Clear {
			out = append(out, c)
		}
	}
	return out
}
