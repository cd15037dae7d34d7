package darkroom

import "math"

// surface is a low-order shift of log exposure over the sheet: a tilt, a saddle
// and a fall-off from the middle.
type surface struct{ c [5]float64 }

// newSurface returns a surface that nowhere shifts by more than most.
func newSurface(seed uint64, most float64) surface {
	rng := Random(seed, 1001)
	var s surface
	total := 0.0
	for i := range s.c {
		s.c[i] = between(rng, -1, 1)
		total += math.Abs(s.c[i])
	}
	for i := range s.c {
		s.c[i] *= most / total
	}
	return s
}

// surfaceRow is a surface along one row: a parabola in the pixel's number.
type surfaceRow struct{ a, b, c, step float64 }

func (s surface) row(y, width, height int) surfaceRow {
	v := centred(y, height)
	return surfaceRow{
		a:    s.c[1]*v + s.c[3]*v*v,
		b:    s.c[0] + s.c[2]*v,
		c:    s.c[4],
		step: 1 / float64(width),
	}
}

func (r surfaceRow) at(x int) float64 {
	u := (2*float64(x)+1)*r.step - 1
	return r.a + u*(r.b+u*r.c)
}

// centred returns the middle of pixel i of n on a scale from -1 to 1.
func centred(i, n int) float64 { return (2*float64(i)+1)/float64(n) - 1 }

// mottle is the cloudiness of paper and coating, in L*. It is a function of
// place alone, so that rows can be made in any order.
type mottle struct {
	seed  uint64
	size  int
	scale float64
}

// newMottle has clouds of size pixels and a standard deviation of scale.
func newMottle(seed uint64, size int, scale float64) mottle {
	m := mottle{seed: seed, size: max(size, 1), scale: scale}
	if m.size > 1 {
		// Between its knots a bilinear surface is calmer than at them. Over the
		// pixels of one cell the mean square weight is this, along each axis.
		total := 0.0
		for i := range m.size {
			f := float64(i) / float64(m.size)
			total += f*f + (1-f)*(1-f)
		}
		m.scale *= float64(m.size) / total
	}
	return m
}

func (m mottle) at(x, y int) float64 {
	if m.scale == 0 {
		return 0
	}
	if m.size == 1 {
		return m.scale * m.knot(x, y)
	}
	i, j := x/m.size, y/m.size
	u, v := float64(x%m.size)/float64(m.size), float64(y%m.size)/float64(m.size)
	top := (1-u)*m.knot(i, j) + u*m.knot(i+1, j)
	bottom := (1-u)*m.knot(i, j+1) + u*m.knot(i+1, j+1)
	return m.scale * ((1-v)*top + v*bottom)
}

// row fills out with row y, as at returns it but each knot taken once.
func (m mottle) row(y int, out []float64) {
	if m.scale == 0 || m.size == 1 {
		for x := range out {
			out[x] = m.at(x, y)
		}
		return
	}
	j, v := y/m.size, float64(y%m.size)/float64(m.size)
	column := func(i int) float64 { return (1-v)*m.knot(i, j) + v*m.knot(i, j+1) }
	left, right := column(0), column(1)
	for x, in, i := 0, 0, 1; x < len(out); x++ {
		u := float64(in) / float64(m.size)
		out[x] = m.scale * ((1-u)*left + u*right)
		if in++; in == m.size {
			in = 0
			i++
			left, right = right, column(i)
		}
	}
}

// knot returns a number for a place, near normal with mean 0 and standard
// deviation 1: four uniform ones added up.
func (m mottle) knot(i, j int) float64 {
	h := mix(m.seed ^ mix(uint64(i)<<32|uint64(uint32(j))))
	sum := int64(h&0xffff) + int64(h>>16&0xffff) + int64(h>>32&0xffff) + int64(h>>48)
	const mean, sd = 2 * 65535, 65536 * 0.57735026918962576 // sqrt(4/12) of a step of 65536
	return float64(sum-mean) / sd
}

// mix scatters the bits of its argument (the finisher of SplitMix64; Steele,
// Lea and Flood 2014, OOPSLA, 453-472).
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
