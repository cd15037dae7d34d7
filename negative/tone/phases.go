package tone

// phases are the weights of a scale at which they come again and again: from
// 4000 samples to 3000 every third result sample lies alike between those of
// the source. Only whole pictures and cuts at whole samples have them.
type phases struct {
	taps   []taps // of the first result samples, as if the source had no edge
	shift  int    // source samples from one round of phases to the next
	floats int
}

// mostPhases bounds the table; beyond it there is little to share.
const mostPhases = 4096

// far is where an edgeless source has its middle.
const far = 1 << 24

func newPhases(s stretchOf, step float64) phases {
	from, to := int(s.from), int(s.to)
	if float64(from) != s.from || float64(to) != s.to || to <= from {
		return phases{}
	}
	rounds := gcd(to-from, s.full)
	count := s.full / rounds
	if count > mostPhases || count > s.full/2 {
		return phases{}
	}
	p := phases{taps: make([]taps, count), shift: (to - from) / rounds}
	for q := range p.taps {
		p.taps[q] = tapsAt(far+float64((float64(q)+0.5)*step), max(step, 1), 2*far)
		p.taps[q].first += from - far
		p.floats += len(p.taps[q].weights)
	}
	return p
}

// at returns the taps of result sample i, unless they reach beyond the source.
func (p *phases) at(i, sources int) (taps, bool) {
	if len(p.taps) == 0 {
		return taps{}, false
	}
	t := p.taps[i%len(p.taps)]
	t.first += i / len(p.taps) * p.shift
	return t, t.first >= 0 && t.first+len(t.weights) <= sources
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
