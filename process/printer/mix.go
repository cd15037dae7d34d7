package printer

import (
	"math"

	"actinic/process/monotone"
)

// mix is the physical picture of a printer: three nominal inks 1 - R, 1 - G and
// 1 - B cover the film independently of each other, each by a curve of its own
// that rises; so the film is a mixture of eight areas with one UV density each,
// clear film being one.
//
// Sources: E. Demichel, Procédé 26 (1924) 17-21 and 26-27, for the areas;
// H. E. J. Neugebauer, Z. tech. Physik 36 (1937) 75-89, for the mixture of the
// eight; J. A. C. Yule & W. J. Nielsen, TAGA Proc. 3 (1951) 65-76, for the
// exponent n (all from memory). On paper n stands for light that spreads under
// the dots. In contact with clear film light does not spread; but dyes lie over
// each other rather than side by side, and where n grows without end the rule
// becomes the layered one, density adding up. The share 1/n is fitted.
type mix struct {
	share  float64    // 1/n, above 0 to 1
	corner [8]float64 // UV density; bit i of the index is nominal ink i at full
	pass   [8]float64 // 10^(-share corner)
	curve  [3]coverageCurve
}

// coverageGrid is where the log slope of a coverage curve lives: nominal ink, 0
// to 1.
var coverageGrid = monotone.Grid{Lo: 0, Hi: 1, Nodes: 61, Knots: 7}

// The parameters of a mix: the logit of the share, the logarithms of the seven
// corners that are not clear film, three curves.
const (
	cornersAt  = 1
	curvesAt   = cornersAt + 7
	mixCount   = curvesAt + 3*curveKnots
	curveKnots = 7
)

// leastShare keeps the mixing rule away from dividing by zero: n of 50 mixes
// densities to four digits.
const leastShare = 0.02

// coverageCurve is how far one nominal ink covers the film: 0 at none, 1 at full.
type coverageCurve struct {
	rising *monotone.Rising
	answer *monotone.Sensitivity
	full   float64
	dFull  [curveKnots]float64 // of full to the knots
}

func newCoverageCurve(knots []float64) coverageCurve {
	g := coverageGrid
	logSlope, dlog := make([]float64, g.Nodes), make([]float64, g.Nodes*curveKnots)
	for i := range g.Nodes {
		j, left, right := g.Hats(i)
		logSlope[i] = float64(left*knots[j]) + float64(right*knots[j+1])
		dlog[i*curveKnots+j] += left
		dlog[i*curveKnots+j+1] += right
	}
	c := coverageCurve{rising: monotone.NewRising(g, logSlope)}
	c.answer = monotone.NewSensitivity(c.rising, dlog)
	c.full = c.rising.Value(1)
	c.answer.At(1, c.dFull[:])
	return c
}

// at returns the coverage by nominal ink u, 0 to 1.
func (c *coverageCurve) at(u float64) float64 { return c.rising.Value(u) / c.full }

// sensitivity writes d(coverage)/d(knots) at nominal ink u into dst.
func (c *coverageCurve) sensitivity(u float64, dst []float64) {
	c.answer.At(u, dst)
	a := c.at(u)
	for k := range dst {
		dst[k] = (dst[k] - float64(a*c.dFull[k])) / c.full
	}
}

// newMix builds the mix of mixCount parameters.
func newMix(p []float64) *mix {
	m := &mix{share: leastShare + (1-leastShare)/(1+math.Exp(-p[0]))}
	for k := 1; k < 8; k++ {
		m.corner[k] = math.Exp(p[cornersAt+k-1])
	}
	m.pass = passing(m.corner, m.share)
	for i := range m.curve {
		m.curve[i] = newCoverageCurve(p[curvesAt+i*curveKnots : curvesAt+(i+1)*curveKnots])
	}
	return m
}

// nominal returns the three nominal inks of a colour, 0 to 1.
func nominal(c RGB) [3]float64 {
	return [3]float64{1 - c[0]/255, 1 - c[1]/255, 1 - c[2]/255}
}

// coverage returns how far the three nominal inks of a colour cover the film.
func (m *mix) coverage(c RGB) [3]float64 {
	u := nominal(c)
	for i := range u {
		u[i] = m.curve[i].at(u[i])
	}
	return u
}

// areas returns Demichel's eight shares of the film.
func areas(coverage [3]float64) (a [8]float64) {
	for k := range a {
		a[k] = 1
		for i, c := range coverage {
			if k>>i&1 == 1 {
				a[k] *= c
			} else {
				a[k] *= 1 - c
			}
		}
	}
	return a
}

// passing returns what each area lets through, to the power of the share.
func passing(corner [8]float64, share float64) (pass [8]float64) {
	for k, d := range corner {
		pass[k] = math.Pow(10, -share*d)
	}
	return pass
}

// mixed returns the UV density of areas by Neugebauer's rule with exponent
// n = 1/share, and each area's part of what passes.
func mixed(area, pass [8]float64, share float64) (uv float64, part [8]float64) {
	total := 0.0
	for k := range area {
		part[k] = area[k] * pass[k]
		total += part[k]
	}
	for k := range part {
		part[k] /= total
	}
	return -math.Log10(total) / share, part
}

// uvDensity returns the UV density of a colour, 0 for clear film.
func (m *mix) uvDensity(c RGB) float64 {
	uv, _ := mixed(areas(m.coverage(c)), m.pass, m.share)
	return math.Max(uv, 0) // rounding may leave -1e-17
}

// sensitivity returns the UV density of a colour and writes its derivatives to
// the mixCount parameters into dst.
func (m *mix) sensitivity(c RGB, dst []float64) float64 {
	u, cover := nominal(c), m.coverage(c)
	area := areas(cover)
	uv, part := mixed(area, m.pass, m.share)
	mean := 0.0
	for k, p := range part {
		mean += p * m.corner[k]
	}
	logit := (m.share - leastShare) / (1 - leastShare)
	dst[0] = (mean - uv) / m.share * (1 - leastShare) * logit * (1 - logit)
	for k := 1; k < 8; k++ {
		dst[cornersAt+k-1] = part[k] * m.corner[k]
	}
	total := math.Pow(10, -m.share*uv)
	for i := range cover {
		at := dst[curvesAt+i*curveKnots : curvesAt+(i+1)*curveKnots]
		m.curve[i].sensitivity(u[i], at)
		slope := m.toCoverage(cover, i) / (-m.share * math.Ln10 * total)
		for k := range at {
			at[k] *= slope
		}
	}
	return math.Max(uv, 0)
}

// toCoverage returns the derivative of what passes to the coverage by ink i.
func (m *mix) toCoverage(cover [3]float64, i int) float64 {
	high, low := cover, cover
	high[i], low[i] = 1, 0
	a, b := areas(high), areas(low)
	d := 0.0
	for k := range a {
		d += (a[k] - b[k]) * m.pass[k]
	}
	return d
}
