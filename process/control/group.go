package control

import (
	"cmp"
	"math"
	"slices"
)

// mostGroups is how many places a print is explained by: more tell nothing more,
// and the time for it grows with the cube.
const mostGroups = 48

// group is places that are explained as one: their means, and which they are.
type group struct {
	place
	members []int
}

// groups joins places of neighbouring ink until few enough are left; a strip's are
// few enough as they are.
func groups(ps []place) []group {
	order := make([]int, len(ps))
	for i := range order {
		order[i] = i
	}
	if len(ps) > mostGroups {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ps[a].uv, ps[b].uv) })
	}
	n := min(len(ps), mostGroups)
	out := make([]group, n)
	for g := range out {
		members := order[g*len(ps)/n : (g+1)*len(ps)/n]
		out[g] = group{joined(ps, believed(ps, members)), members}
	}
	return out
}

// believed leaves out the members that lie off the others of their group, where
// there are three or more.
func believed(ps []place, members []int) []int {
	if len(members) < 3 {
		return members
	}
	var all []float64
	for _, i := range members {
		all = append(all, ps[i].Difference)
	}
	slices.Sort(all)
	middle := (all[len(all)/2] + all[(len(all)-1)/2]) / 2
	var good []int
	for _, i := range members {
		if ps[i].Spoiled = math.Abs(ps[i].Difference-middle) > oddAt*ps[i].noise; !ps[i].Spoiled {
			good = append(good, i)
		}
	}
	if len(good) < (len(members)+1)/2 { // no two of them agree: nobody knows which is spoiled
		for _, i := range members {
			ps[i].Spoiled = false
		}
		return members
	}
	return good
}

// joined is the mean of some places; noise falls with their number, the aim's doubt
// does not.
func joined(ps []place, members []int) place {
	if len(members) == 1 {
		return ps[members[0]]
	}
	var p place
	ink, inks, noise := 0.0, 0.0, 0.0
	for _, i := range members {
		q := ps[i]
		p.Aim, p.AimSD, p.Read, p.Difference, p.uv = p.Aim+q.Aim, p.AimSD+q.AimSD, p.Read+q.Read, p.Difference+q.Difference, p.uv+q.uv
		noise += q.noise * q.noise
		if q.Ink != nil {
			ink, inks = ink+*q.Ink, inks+1
		}
	}
	n := float64(len(members))
	p.Aim, p.AimSD, p.Read, p.Difference, p.uv = p.Aim/n, p.AimSD/n, p.Read/n, p.Difference/n, p.uv/n
	p.noise = math.Sqrt(noise) / n
	if inks > 0 {
		ink /= inks
		p.Ink = &ink
	}
	return p
}

// setLeft gives every place of the groups what theta leaves of it.
func (p *problem) setLeft(ps []place, gs []group, theta [ways]float64) (rms float64) {
	sum, n := 0.0, 0
	for k, g := range gs {
		for _, i := range g.members {
			q := &ps[i]
			q.Spoiled = q.Spoiled || p.places[k].Spoiled
			d, _ := p.answer.differs(q.uv, theta)
			v := q.Difference - d
			q.Left = &v
			if !q.Spoiled {
				sum, n = sum+v*v, n+1
			}
		}
	}
	return math.Sqrt(sum / float64(max(1, n)))
}
