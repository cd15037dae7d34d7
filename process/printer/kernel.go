package printer

import "math"

// kernel is the covariance of what the mix does not explain: a Gaussian process
// over the cube (Rasmussen & Williams, Gaussian Processes for Machine Learning,
// 2006, chapter 4). Its parts are sums and products of functions of one
// coordinate each, so that few exponentials serve many colours.
//
// It is multiplied by reach, which is 0 at clear film: there nothing is in doubt.
type kernel struct {
	// each: what one nominal ink does by itself, whatever the others do: a light
	// ink that hands over to a dark one.
	each part
	// smooth: what inks do together, slowly over the cube.
	smooth part
	// rough: what they do together over a short way: grey for black, ink limits.
	rough part
	// nugget is the standard deviation of what no neighbour tells.
	nugget float64
	// densest is the UV density of the densest colours that are known as numbers.
	// Beyond it nothing was measured, and the doubt grows with the distance.
	densest float64
}

// further is what may be wrong with the mix beyond the densest colours known: a
// share of the distance, alike for like colours (a working value of ours).
var further = part{sd: 0.6, length: 0.5}

// part is one part of a kernel.
type part struct {
	sd     float64 // log10, where reach is 1
	length float64 // in coordinates, which run 0 to 1
}

// coordinates of a colour: the three nominal inks and the least of them, which
// is what a driver prints as grey or black.
const coordinates = 4

// place is where a colour lies for the kernel.
type place struct {
	at    [coordinates]float64
	reach float64 // 0 to 1
	// beyond is by how much the mix exceeds the densest colours that are known as
	// numbers, log10.
	beyond float64
}

// halfReach is the UV density at which departures from the mix are half as
// large as in dense colours (a working value of ours).
const halfReach = 0.3

// placeOf returns the place of a colour under a mix, for a kernel. Each nominal ink is taken
// midway between code value and coverage.
func (k *kernel) placeOf(m *mix, c RGB) place {
	u, a := nominal(c), m.coverage(c)
	p := place{}
	p.at[3] = 1
	for i := range u {
		p.at[i] = (u[i] + a[i]) / 2
		p.at[3] = math.Min(p.at[3], u[i])
	}
	uv := m.uvDensity(c)
	p.reach = uv / (uv + halfReach)
	p.beyond = math.Max(0, uv-k.densest)
	return p
}

// matern32 is the Matérn covariance of order 3/2 with unit variance (Rasmussen &
// Williams eq. 4.17), and its derivative to log length over its value.
func matern32(distance, length float64) (value, slope float64) {
	d := math.Sqrt(3) * distance / length
	return (1 + d) * math.Exp(-d), d * d / (1 + d)
}

// gaussian is the squared-exponential covariance (eq. 4.9), as matern32.
func gaussian(distance, length float64) (value, slope float64) {
	d := distance / length
	return math.Exp(-d * d / 2), d * d
}

// parts returns the covariance of each part at two places, unit variance and
// full reach, and the derivatives to its log length.
func (k *kernel) parts(a, b *place) (value, slope [3]float64) {
	value[1], value[2] = 1, 1
	for i := range a.at {
		d := math.Abs(a.at[i] - b.at[i])
		each, s := matern32(d, k.each.length)
		value[0] += each / coordinates
		slope[0] += each * s / coordinates
		smooth, s := gaussian(d, k.smooth.length)
		value[1] *= smooth
		slope[1] += s
		rough, s := matern32(d, k.rough.length)
		value[2] *= rough
		slope[2] += s
	}
	slope[1] *= value[1]
	slope[2] *= value[2]
	return value, slope
}

// between returns the covariance of two places, nugget left out.
func (k *kernel) between(a, b *place) float64 {
	v, _ := k.parts(a, b)
	c := a.reach * b.reach * (k.each.sd*k.each.sd*v[0] + k.smooth.sd*k.smooth.sd*v[1] + k.rough.sd*k.rough.sd*v[2])
	if a.beyond > 0 && b.beyond > 0 {
		c += further.between(a, b)
	}
	return c
}

// between returns the covariance of what is beyond measure at two places.
func (f part) between(a, b *place) float64 {
	square := 0.0
	for i := range a.at[:3] {
		d := (a.at[i] - b.at[i]) / f.length
		square += d * d
	}
	return f.sd * f.sd * a.beyond * b.beyond * math.Exp(-square/2)
}

// variance returns the variance at a place, nugget left out.
func (k *kernel) variance(a *place) float64 {
	b := further.sd * a.beyond
	return a.reach*a.reach*(k.each.sd*k.each.sd+k.smooth.sd*k.smooth.sd+k.rough.sd*k.rough.sd) + b*b
}

// irregular returns the variance of what no neighbour tells at a place.
func (k *kernel) irregular(a *place) float64 {
	v := a.reach * k.nugget
	return v * v
}
