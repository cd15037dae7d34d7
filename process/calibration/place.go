package calibration

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"actinic/process/measure"
)

// What the positions of a print's ramp must span before unevenness is looked
// for: enough patches for the terms of two surfaces, and spread both ways
// (working values of ours).
const (
	leastPlaced   = 20
	leastSpanMM   = 20
	mostAlignment = 0.9 // correlation of x with y: patches in one slanting row
)

// frame is the area that positions span, by its middle and half its sides. It
// is one for all prints, so that the light of one place is compared with the
// light of the same place.
type frame struct{ xMM, yMM, halfXMM, halfYMM float64 }

// degrees lists the terms of a surface: the degree of a Legendre polynomial
// across and of one down the frame, of third order together. Legendre's, because
// over a box none stands in for another (Abramowitz & Stegun, 22.2.10).
var degrees = surfaceDegrees(3)

func surfaceDegrees(order int) [][2]int {
	var out [][2]int
	for sum := 1; sum <= order; sum++ {
		for down := range sum + 1 {
			out = append(out, [2]int{sum - down, down})
		}
	}
	return out
}

// terms returns the terms of a surface at a place.
func (f frame) terms(xMM, yMM float64) []float64 {
	u, v := (xMM-f.xMM)/f.halfXMM, (yMM-f.yMM)/f.halfYMM
	out := make([]float64, len(degrees))
	for i, d := range degrees {
		out[i] = legendre(d[0], u) * legendre(d[1], v)
	}
	return out
}

// legendre is the Legendre polynomial of a degree, by its recurrence
// (Abramowitz & Stegun, 22.7.10).
func legendre(degree int, x float64) float64 {
	before, p := 0.0, 1.0
	for n := range degree {
		k := float64(n)
		before, p = p, (float64((2*k+1)*x*p)-float64(k*before))/(k+1)
	}
	return p
}

// sheet is where a print's patches lie.
type sheet struct {
	frame
	// centre is the mean of the terms over the ramp's patches. It is taken off
	// the terms: a surface then moves tone from place to place and leaves the
	// print's mean exposure and black, which are the curve's, where they are.
	centre []float64
	// the ramp's positions
	xMM, yMM []float64
	// order is the share of the ink levels' spread that place explains: about 0
	// where levels are scattered, 1 where they lie in order.
	order float64
}

// terms returns the centred terms at a place.
func (s *sheet) terms(xMM, yMM float64) []float64 {
	t := s.frame.terms(xMM, yMM)
	floats.Sub(t, s.centre)
	return t
}

// sheetsOf returns the sheet of each print, nil for a print whose ramp does not
// say where its patches lie, or in too small an area to tell a slope.
func sheetsOf(prints []Print) []*sheet {
	sheets := make([]*sheet, len(prints))
	f := frameOf(prints)
	for k, p := range prints {
		if p.Ramp == nil {
			continue
		}
		s := &sheet{frame: f, centre: make([]float64, len(degrees))}
		var ink []float64
		for _, r := range p.Ramp.Readings {
			if placed(r) {
				s.xMM, s.yMM = append(s.xMM, r.XMM), append(s.yMM, r.YMM)
				ink = append(ink, r.Ink)
				floats.Add(s.centre, f.terms(r.XMM, r.YMM))
			}
		}
		if !s.spreads() {
			continue
		}
		floats.Scale(1/float64(len(ink)), s.centre)
		s.order = s.explains(ink)
		sheets[k] = s
	}
	return sheets
}

// mostMM bounds positions: no sheet is ten metres long, and no arithmetic here
// meets larger numbers.
const mostMM = 1e4

// placed says whether a reading has a position; NaN is none.
func placed(r measure.Reading) bool { return math.Abs(r.XMM) < mostMM && math.Abs(r.YMM) < mostMM }

// frameOf spans all positions of all prints.
func frameOf(prints []Print) frame {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range prints {
		for _, t := range []*measure.Table{p.Ramp, p.Tablet} {
			if t == nil {
				continue
			}
			for _, r := range t.Readings {
				for i, v := range [2]float64{r.XMM, r.YMM} {
					if placed(r) {
						low[i], high[i] = math.Min(low[i], v), math.Max(high[i], v)
					}
				}
			}
		}
	}
	half := func(i int) float64 { return math.Max((high[i]-low[i])/2, leastSpanMM/2) }
	return frame{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, half(0), half(1)}
}

// spreads says whether the positions tell a slope both ways.
func (s *sheet) spreads() bool {
	if len(s.xMM) < leastPlaced {
		return false
	}
	spanX, spanY := floats.Max(s.xMM)-floats.Min(s.xMM), floats.Max(s.yMM)-floats.Min(s.yMM)
	return spanX >= leastSpanMM && spanY >= leastSpanMM && math.Abs(stat.Correlation(s.xMM, s.yMM, nil)) < mostAlignment
}

// explains returns the share of the spread of values that a surface over the
// positions explains, what chance explains taken off: R², adjusted.
func (s *sheet) explains(values []float64) float64 {
	n, k := len(values), len(degrees)
	mean, spread := stat.PopMeanVariance(values, nil)
	if spread == 0 || n <= k+1 {
		return 0
	}
	info, rhs := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	for i, v := range values {
		t := mat.NewVecDense(k, s.terms(s.xMM[i], s.yMM[i]))
		info.SymRankOne(info, 1, t)
		rhs.AddScaledVec(rhs, v-mean, t)
	}
	for i := range k {
		info.SetSym(i, i, info.At(i, i)+1e-6*float64(n)) // rows of patches leave some terms open
	}
	var chol mat.Cholesky
	var c mat.VecDense
	if !chol.Factorize(info) || chol.SolveVecTo(&c, rhs) != nil {
		return 0
	}
	rest := 1 - mat.Dot(&c, rhs)/(float64(n)*spread)
	return math.Max(0, 1-rest*float64(n-1)/float64(n-k-1))
}
