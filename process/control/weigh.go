package control

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// looseSets lists every set of ways in which a print may differ in earnest.
func looseSets() [][ways + 1]bool {
	var all [][ways + 1]bool
	for bits := range 1 << (ways + 1) {
		var s [ways + 1]bool
		for k := range s {
			s[k] = bits>>k&1 == 1
		}
		all = append(all, s)
	}
	return all
}

// everything lets a print differ in all ways.
var everything = [ways + 1]bool{true, true, true, true, true}

// chances are how likely a print differs in earnest in each way, before anything
// is read.
type chances [ways + 1]float64

// logPrior is how likely a set is; -Inf where it cannot be.
func (c chances) logPrior(s [ways + 1]bool) float64 {
	sum := 0.0
	for k, loose := range s {
		if loose {
			sum += math.Log(c[k])
		} else {
			sum += math.Log(1 - c[k])
		}
	}
	return sum
}

// weighed is a belief with its set and weight.
type weighed struct {
	belief
	set    [ways + 1]bool
	weight float64
}

// beliefs returns the belief under every set that can be, its weight the log of
// prior and evidence.
func (p *problem) beliefs(c chances) []weighed {
	var all []weighed
	for _, s := range looseSets() {
		prior := c.logPrior(s)
		if math.IsInf(prior, -1) {
			continue
		}
		if b, ok := p.under(p.allow(s)); ok {
			all = append(all, weighed{b, s, b.logWeight + prior})
		}
	}
	return all
}

// normalise makes of log weights weights that sum to 1, and returns the log of
// what they summed to before.
func normalise(all []weighed) float64 {
	top, sum := math.Inf(-1), 0.0
	for _, w := range all {
		top = math.Max(top, w.weight)
	}
	for i := range all {
		all[i].weight = math.Exp(all[i].weight - top)
		sum += all[i].weight
	}
	for i := range all {
		all[i].weight /= sum
	}
	return top + math.Log(sum)
}

// weigh returns the belief under every set that can be, with weights that sum to
// 1. It is empty where the arithmetic fails throughout.
func (p *problem) weigh(c chances) []weighed {
	all := p.beliefs(c)
	normalise(all)
	return all
}

// meanBelief is the belief over all: the mean, and the mean covariance with the
// covariance of the means.
func meanBelief(all []weighed) (theta [ways]float64, cov *mat.SymDense) {
	cov = mat.NewSymDense(ways, nil)
	for _, w := range all {
		for k := range theta {
			theta[k] += w.weight * w.theta[k]
		}
	}
	for _, w := range all {
		for k := range ways {
			for j := k; j < ways; j++ {
				apart := (w.theta[k] - theta[k]) * (w.theta[j] - theta[j])
				cov.SetSym(k, j, cov.At(k, j)+w.weight*(w.cov.At(k, j)+apart))
			}
		}
	}
	return theta, cov
}

// kindOf is the answer that a set of ways amounts to.
func kindOf(s [ways + 1]bool) string {
	others := 0
	for _, k := range []int{ofPaper, ofDepth, ofContrast, ofShape} {
		if s[k] {
			others++
		}
	}
	switch {
	case s[ofShape], others > 1:
		return NewRamp
	case s[ofContrast]:
		return Contrast
	case s[ofDepth]:
		return Black
	case s[ofPaper]:
		return Paper
	case s[ofExposure]:
		return Time
	}
	return Again
}

// leastShare is the share of belief below which a kind is not worth naming.
const leastShare = 0.05

// explanations sums the weights by kind, the likeliest first.
func explanations(all []weighed) []Explanation {
	out := []Explanation{}
	for _, kind := range []string{Again, Time, Contrast, Black, Paper, NewRamp} {
		e := Explanation{Kind: kind}
		for _, w := range all {
			if kindOf(w.set) == kind {
				e.Share += w.weight
			}
		}
		if e.Share >= leastShare {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b Explanation) int { return cmp.Compare(b.Share, a.Share) })
	return out
}
