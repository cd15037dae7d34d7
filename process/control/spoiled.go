package control

import "math"

// How far, in sds, a patch may lie from what all others say of it, and the share
// of patches that may be left out for it (working values of ours: 4 is named an
// outlier in calibrations too).
const (
	oddAt   = 4
	mostOdd = 0.2
)

// leaveOutOdd marks the patches that no difference of the whole print explains,
// the oddest first, and goes on without them.
func (p *problem) leaveOutOdd() {
	most := int(mostOdd * float64(len(p.places)))
	for range most {
		b, ok := p.under(p.allow(everything))
		if !ok {
			return
		}
		at := 0
		for i := range b.odd {
			if math.Abs(b.odd[i]) > math.Abs(b.odd[at]) {
				at = i
			}
		}
		if math.Abs(b.odd[at]) <= oddAt {
			return
		}
		p.spoil(at)
	}
}

func (p *problem) spoil(at int) {
	p.places[at].Spoiled = true
	p.makeNoisier(at, spoiltNoise)
}

func (p *problem) makeNoisier(at int, lstar float64) {
	p.doubt.SetSym(at, at, p.doubt.At(at, at)+float64(lstar*lstar))
}

// spoiltNoise is the noise of a patch that is not believed, L*.
const spoiltNoise = 1000

// mindAlone takes the verdict back where a patch that was left out is out of
// tolerance and no other has about its tone: whether that tone prints as planned,
// nobody knows until it is read again.
func (c *Check) mindAlone(ps []place) {
	for i, p := range ps {
		if !p.Spoiled || math.Abs(p.Difference) <= c.Tolerance.Lstar || vouched(ps, i) {
			continue
		}
		c.Inside, c.alone = false, append(c.alone, p.ID)
		if math.Abs(p.Difference) > math.Abs(c.WorstBy) {
			c.Worst, c.WorstBy = p.ID, p.Difference
		}
	}
}

// vouched says whether a patch that is believed has about the tone of another.
func vouched(ps []place, at int) bool {
	for _, q := range ps {
		if !q.Spoiled && math.Abs(q.Aim-ps[at].Aim) <= endWidth {
			return true
		}
	}
	return false
}

// How often a patch is spoiled, and by how much, L* (working values of ours: a
// finger mark, a pinhole, a slip of the pen).
const (
	spoiledOften = 0.02
	spoiledBy    = 15
)

// narrow lets a print differ in all ways but its shape.
var narrow = [ways + 1]bool{true, true, true, true, false}

// leaveOutLone marks patches that alone speak for a change of shape, where it is
// likelier that they are spoiled: a strip's patches lie so far apart that a change of
// shape could pass through any one of them, but such a change moves its neighbours
// too. It costs a sheet of film to answer a finger mark with a new ramp.
func (p *problem) leaveOutLone(gs []group) {
	for range int(mostOdd * float64(len(p.places))) {
		at, ok := p.oddest(narrow)
		if !ok || p.places[at].Spoiled || len(gs[at].members) > 1 {
			return
		}
		all := p.beliefs(likely)
		as := normalise(all)
		if shareOf(NewRamp, explanations(all)) < 1-surely {
			return
		}
		was := p.doubt.At(at, at)
		p.makeNoisier(at, spoiledBy)
		spoiled := normalise(p.beliefs(likely)) + math.Log(spoiledOften/(1-spoiledOften))
		p.doubt.SetSym(at, at, was)
		if !(spoiled-as > math.Log(surely/(1-surely))) {
			return
		}
		p.spoil(at)
	}
}

// oddest is the place that lies farthest, in sds, from what all others say of it
// under a set of ways; false where the arithmetic fails.
func (p *problem) oddest(loose [ways + 1]bool) (at int, ok bool) {
	b, ok := p.under(p.allow(loose))
	if !ok {
		return 0, false
	}
	for i := range b.odd {
		if math.Abs(b.odd[i]) > math.Abs(b.odd[at]) {
			at = i
		}
	}
	return at, true
}
