package profile

// gridSide is the number of nodes a side of a baked table.
const gridSide = 65

// grid is L* over RGB, red slowest. It holds L* rather than Y because that is
// nearer to straight. Its nodes lie at equal steps of a scale over the codes that
// all three channels share, so that greys lie on its diagonal.
type grid struct {
	lightness []float32
	scale     []float32 // node, with its fraction, of each code
}

func newGrid(at func(r, g, b float64) float64) *grid {
	g := &grid{lightness: make([]float32, 0, gridSide*gridSide*gridSide)}
	var nodes [gridSide]float64
	g.scale, nodes = newScale(at)
	for _, r := range nodes {
		for _, gr := range nodes {
			for _, b := range nodes {
				g.lightness = append(g.lightness, float32(at(r, gr, b)))
			}
		}
	}
	return g
}

// evenness is how much of the scale follows the codes instead of the lightness
// of greys: nodes are left where greys do not change.
const evenness = 0.2

// newScale spreads nodes along the greys' own lightness: a scanner's table over
// linear values, say, bends sharply within the first of 64 even steps. It returns
// the scale and the device values, 0..1, of the nodes.
func newScale(at func(r, g, b float64) float64) (scale []float32, nodes [gridSide]float64) {
	grey := greys(at)
	scale = make([]float32, codes)
	last, next := 0.0, 1
	for i := range scale {
		v := float64(i) / (codes - 1)
		v = (float64(evenness*v) + float64((1-evenness)*grey[i])) * (gridSide - 1)
		scale[i] = float32(v)
		for ; next < gridSide-1 && v >= float64(next); next++ {
			part := (float64(next) - last) / (v - last)
			nodes[next] = (float64(i-1) + part) / (codes - 1)
		}
		last = v
	}
	nodes[gridSide-1] = 1
	return scale, nodes
}

// greys returns how far along from black to white each grey is in L*, 0 to 1,
// never falling: straight for a profile whose white is no lighter than black.
func greys(at func(r, g, b float64) float64) []float64 {
	grey := make([]float64, codes)
	for i := range grey {
		v := float64(i) / (codes - 1)
		grey[i] = at(v, v, v)
		if i > 0 && !(grey[i] >= grey[i-1]) {
			grey[i] = grey[i-1]
		}
	}
	black, span := grey[0], grey[codes-1]-grey[0]
	for i := range grey {
		if span > 0 {
			grey[i] = (grey[i] - black) / span
		} else {
			grey[i] = float64(i) / (codes - 1)
		}
	}
	return grey
}

// luminance interpolates over the tetrahedron that holds r, g, b: the neutral
// axis is one of its edges, so greys stay on the profile's own greys.
func (g *grid) luminance(r, gr, b uint16) float32 {
	const stepR, stepG = gridSide * gridSide, gridSide
	ir, fr := g.cell(r)
	ig, fg := g.cell(gr)
	ib, fb := g.cell(b)
	base := ir*stepR + ig*stepG + ib
	// Walk from the cell's first corner to its last along the falling fractions.
	a := [3]leg{{fr, stepR}, {fg, stepG}, {fb, 1}}
	if a[0].part < a[1].part {
		a[0], a[1] = a[1], a[0]
	}
	if a[1].part < a[2].part {
		a[1], a[2] = a[2], a[1]
	}
	if a[0].part < a[1].part {
		a[0], a[1] = a[1], a[0]
	}
	l := g.lightness[base]
	sum := l
	for _, s := range a {
		if s.part == 0 {
			break
		}
		base += s.step
		next := g.lightness[base]
		sum += float32(s.part * (next - l))
		l = next
	}
	return unit(fromLightness(sum))
}

// leg is a step along one axis and the part of it to go.
type leg struct {
	part float32
	step int
}

// cell returns the node at or below a code and the way from there, 0 to 1.
func (g *grid) cell(code uint16) (int, float32) {
	at := g.scale[code]
	node := min(int(at), gridSide-2)
	return node, at - float32(node)
}
