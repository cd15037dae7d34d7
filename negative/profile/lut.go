package profile

// lut is the luminance of a profile with a table over all its channels: grids
// whose nodes are the profile's own, and a curve from what the grids add up to to
// light. Nothing is sampled anew, so that nothing is lost.
type lut struct {
	scale  [][]float32 // node, with its fraction, of each code, by channel
	step   []int       // from a node to the next along a channel
	terms  []lutTerm
	offset float32
	light  []float32 // CIE Y of each sum, in steps of 1/65535
}

// lutTerm is one grid, and its part of the sum for each of its values in steps of
// 1/65535; nil where that is the value itself.
type lutTerm struct {
	value []float32 // at the nodes, 0 to 1; the last channel runs fastest
	part  []float32
}

// leg is a step along one channel and the part of it to go.
type leg struct {
	part float32
	step int
}

// luminance interpolates over the tetrahedron that holds three channels: the
// neutral axis of RGB is one of its edges, so that greys stay greys. Of four, the
// first is straight between two such. ICC.1:2010 leaves the way open; this is the
// one of lcms2.
func (k *lut) luminance(p []uint16) float32 {
	var a [3]leg
	var outer leg
	base := 0
	for i := range p {
		node, part := k.cell(i, p[i])
		base += node * k.step[i]
		if l := (leg{part, k.step[i]}); len(p) == 4 && i == 0 {
			outer = l
		} else {
			a[i+3-len(p)] = l
		}
	}
	falling(&a)
	sum := k.offset
	for _, t := range k.terms {
		v := tetrahedron(t.value, base, &a)
		if outer.part > 0 {
			v += float32(outer.part * (tetrahedron(t.value, base+outer.step, &a) - v))
		}
		if t.part != nil {
			v = t.part[nearest(v)]
		}
		sum += v
	}
	return k.light[nearest(sum)]
}

// nearest is the index of a value 0 to 1 in a table by codes.
func nearest(v float32) int { return int(float32(unit(v)*(codes-1)) + 0.5) }

// cell returns the node at or below a code and the way from there, 0 to 1; at the
// last node the way is 0.
func (k *lut) cell(channel int, code uint16) (int, float32) {
	at := k.scale[channel][code]
	return int(at), at - float32(int(at))
}

// falling puts the largest way first.
func falling(a *[3]leg) {
	if a[0].part < a[1].part {
		a[0], a[1] = a[1], a[0]
	}
	if a[1].part < a[2].part {
		a[1], a[2] = a[2], a[1]
	}
	if a[0].part < a[1].part {
		a[0], a[1] = a[1], a[0]
	}
}

// tetrahedron walks from a cell's first corner towards its last along the
// falling fractions.
func tetrahedron(value []float32, base int, a *[3]leg) float32 {
	v := value[base]
	sum := v
	for _, s := range a {
		if s.part == 0 {
			break
		}
		base += s.step
		next := value[base]
		sum += float32(s.part * (next - v))
		v = next
	}
	return sum
}
