package printer

import "math"

// evenPath gives a way its film inks, so that UV density rises evenly with them
// as m tells it, and adds nodes up to most where it still bends between two.
func evenPath(m Predictor, way []RGB, most int) Path {
	p := evenNodes(m, way)
	for len(p) < most {
		at, c := worstBend(m, p)
		if at == 0 {
			break
		}
		way = append(append(append([]RGB{}, colours(p[:at])...), c), colours(p[at:])...)
		next := evenNodes(m, way)
		if len(next) <= len(p) {
			break
		}
		p = next
	}
	return p
}

func colours(p Path) []RGB {
	var out []RGB
	for _, n := range p {
		out = append(out, n.RGB())
	}
	return out
}

// leastPart is how much film ink lies between two nodes at least, %.
const leastPart = 0.25

// evenNodes places the nodes of a way in proportion to their UV density. A node
// that does not rise above the one before is left out.
func evenNodes(m Predictor, way []RGB) Path {
	uv := uvDensities(m, way)
	end := uv[len(uv)-1]
	p := Path{NewNode(0, way[0])}
	for i := 1; i < len(way)-1; i++ {
		at := math.Round(1e4*uv[i]/end) / 100
		if at >= p[len(p)-1].Percent+leastPart && at <= 100-leastPart {
			p = append(p, NewNode(at, way[i]))
		}
	}
	return append(p, NewNode(100, way[len(way)-1]))
}

// bendShown is how far UV density may lie off its even rise, as a share of the
// whole, before a node is added (a working value of ours).
const bendShown = 0.01

// worstBend returns the segment, by its end, in whose middle UV density lies
// farthest off an even rise, and the colour there; 0 where all is even enough.
func worstBend(m Predictor, p Path) (at int, middle RGB) {
	middles := make([]RGB, 0, len(p))
	for i := 1; i < len(p); i++ {
		middles = append(middles, wholeMiddle(p[i-1].RGB(), p[i].RGB()))
	}
	uv, ends := uvDensities(m, middles), uvDensities(m, colours(p))
	worst := bendShown
	for i := 1; i < len(p); i++ {
		off := math.Abs(uv[i-1]-(ends[i-1]+ends[i])/2) / ends[len(ends)-1]
		wide := distance(p[i-1].RGB(), p[i].RGB()) > 8 && p[i].Percent-p[i-1].Percent > 4*leastPart
		if off > worst && wide {
			worst, at, middle = off, i, middles[i-1]
		}
	}
	return at, middle
}

// wholeMiddle is the colour near the middle of a segment where the channel that
// moves most stands on a whole code, so that channels which keep step go on to.
func wholeMiddle(a, b RGB) RGB {
	most := farthest(a, b)
	t := 0.5
	if most >= 1 {
		t = math.Round(most/2) / most
	}
	for i := range a {
		a[i] += float64(t * (b[i] - a[i]))
	}
	return a
}
