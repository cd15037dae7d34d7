package scan

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Lighting is what the places at paper white say of the scanner's light. Only
// they can say it: elsewhere uneven light and an uneven print look the same, and
// an uneven print is to be read as it is.
type Lighting struct {
	Places int `json:"places"` // at paper white; 0 when the print has no such place that is sure
	// RangePercent is how far the light varies over the page; 0 where too few
	// places tell.
	RangePercent float64 `json:"range_percent"`
	Removed      bool    `json:"removed"`

	shape []float64 // of the logarithm of light, mean 0 over the page
	frame [4]float64
}

// Working values of ours.
const (
	// flatTone is how little the light of the print may change with ink, as a share
	// for each per cent of ink, for a place to be as good as paper white: 0.04 L*,
	// so that an uneven exposure of 0.03 changes it by about 0.06 L*, where full ink
	// stops 2. Its doubt may be as large. leastSpan is the least ink to tell it from.
	flatTone  = 0.001
	leastSpan = 5.0 // %
	// whiteNear is how near the plateau must come to the paper under the tape, and
	// whiteSame how near full ink must without one: nearer, a change of exposure by
	// 0.03 changes it by less than 0.1 L*, and by less than 0.05 L*.
	whiteNear = 0.5 // L*
	whiteSame = 0.2 // L*
	// leastRange is the least variation of light that is removed: 0.2 L* in the
	// whites. leastSure is the chance of mistaking noise for light.
	leastRange  = 0.5 // %
	leastSure   = 0.001
	leastLight  = 6  // places for a plane
	leastCurved = 16 // places for a curved surface
	whiteLstar  = 60 // the places must be light: with dark ones flare decides
)

// lightingOf finds how uneven the scanner's light is from the readings of one
// scan. box is the reading under the opaque tape, nil when there is no tape.
func lightingOf(rs []*Reading, box *Reading, widthMM, heightMM float64) Lighting {
	l := Lighting{frame: [4]float64{widthMM / 2, heightMM / 2, widthMM / 2, heightMM / 2}}
	white, within := l.plateau(rs), whiteNear
	if white == nil {
		white, within = inkedFrom(rs, 100), whiteSame
	}
	if len(white) < leastLight || within == whiteSame && box == nil {
		return l
	}
	full, shape, sure := l.fit(white)
	if shape == nil {
		return l
	}
	l.shape = shape
	if box != nil && math.Abs(box.Lstar-lightness(full*l.at(box.XMM, box.YMM))) >= within {
		return l
	}
	l.Places, l.RangePercent = len(white), l.span()
	l.Removed = sure && l.RangePercent >= leastRange
	return l
}

// termsFor is how many terms of a surface so many places tell.
func termsFor(places int) int {
	if places >= leastCurved {
		return 6
	}
	return 3
}

// plateau returns the patches of so much ink that more of it hardly makes the
// print lighter: they are as good as paper white. It returns nil where there is
// no such plateau. More patches are taken as long as one surface fits them all.
func (l *Lighting) plateau(rs []*Reading) []*Reading {
	var white []*Reading
	least := math.Inf(1)
	for from := 100 - leastSpan; from >= 0; from -= 2.5 {
		inked := inkedFrom(rs, from)
		if len(inked) < leastLight {
			continue
		}
		s, rise, sd := l.regress(inked)
		if s.variance > 2*least || math.Abs(rise)-sd > flatTone {
			break
		}
		if math.Abs(rise) < flatTone && sd < flatTone {
			white, least = inked, min(least, s.variance)
		}
	}
	return white
}

// inkedFrom returns the light patches of so much ink or more, in per cent.
func inkedFrom(rs []*Reading, from float64) []*Reading {
	var inked []*Reading
	for _, r := range rs {
		if ink, ok := inkPercent(r); ok && ink >= from && r.Flag == "" && r.Count > 0 && r.Lstar > whiteLstar {
			inked = append(inked, r)
		}
	}
	return inked
}

// inkPercent returns the film ink of a patch; false where it has none.
func inkPercent(r *Reading) (percent float64, ok bool) {
	if r.patch.Ink != nil {
		return *r.patch.Ink, true
	}
	return 100, isFull(r)
}

// isFull reports whether a patch is of full ink.
func isFull(r *Reading) bool {
	return r.patch.Ink != nil && *r.patch.Ink >= 100 || strings.Contains(r.patch.ID, "full-")
}

// isClear reports whether a patch is of clear film.
func isClear(r *Reading) bool {
	return r.patch.Ink != nil && *r.patch.Ink <= 0 || strings.Contains(r.patch.ID, "clear-")
}

// basis returns the terms of a low-order surface at a place of the page.
func (l *Lighting) basis(xMM, yMM float64, terms int) []float64 {
	u, v := (xMM-l.frame[0])/l.frame[2], (yMM-l.frame[1])/l.frame[3]
	return []float64{1, u, v, u * u, u * v, v * v}[:terms]
}

// fit returns the light of full ink, the surface of log light through the places,
// 0 on the mean over the page, and whether it says more than noise would (F test).
func (l *Lighting) fit(white []*Reading) (full float64, shape []float64, sure bool) {
	with, _, _ := l.regress(white)
	without, _, _ := regress(white, func(*Reading) []float64 { return []float64{1} })
	if with.shape == nil || without.shape == nil {
		return 0, nil, false
	}
	p, q := float64(len(with.shape)-1), float64(with.free)
	f := (without.squares() - with.squares()) / p / max(with.variance, 1e-9) // at least 0.003 % of noise
	shape = with.shape
	level := shape[0]
	shape[0] = 0
	if len(shape) > 3 {
		shape[0] = -(shape[3] + shape[5]) / 3 // the mean of u² over -1 to 1
	}
	return math.Exp(level - shape[0]), shape, distuv.F{D1: p, D2: q}.Survival(f) < leastSure
}

// surface is the outcome of a regression of log light.
type surface struct {
	shape    []float64 // nil where the places do not fix it
	variance float64   // about it
	free     int       // degrees of freedom
}

func (s surface) squares() float64 { return s.variance * float64(s.free) }

// regress fits the surface of log light through places, and its rise for each per
// cent of ink with its standard uncertainty.
func (l *Lighting) regress(places []*Reading) (s surface, rise, sd float64) {
	terms := termsFor(len(places))
	return regress(places, func(r *Reading) []float64 { return l.basis(r.XMM, r.YMM, terms) })
}

// regress is least squares of log light over the terms and, where it varies, ink.
func regress(places []*Reading, terms func(*Reading) []float64) (s surface, rise, sd float64) {
	n, k := len(places), len(terms(places[0]))
	columns := k
	if least, _ := inkPercent(slices.MinFunc(places, byInk)); least < 100 {
		columns++
	}
	a, y := mat.NewDense(n, columns, nil), mat.NewVecDense(n, nil)
	for i, r := range places {
		ink, _ := inkPercent(r)
		a.SetRow(i, append(terms(r), ink-100)[:columns])
		y.SetVec(i, math.Log(r.y))
	}
	var normal, inverse mat.Dense
	normal.Mul(a.T(), a)
	if n <= columns || inverse.Inverse(&normal) != nil {
		return surface{variance: math.Inf(1)}, math.Inf(1), math.Inf(1)
	}
	var right, c, left mat.VecDense
	right.MulVec(a.T(), y)
	c.MulVec(&inverse, &right)
	left.MulVec(a, &c)
	left.SubVec(y, &left)
	s = surface{c.RawVector().Data[:k], mat.Dot(&left, &left) / float64(n-columns), n - columns}
	if columns == k {
		return s, 0, math.Inf(1)
	}
	return s, c.AtVec(k), math.Sqrt(s.variance * inverse.At(k, k))
}

// byInk orders patches by their ink.
func byInk(a, b *Reading) int {
	x, _ := inkPercent(a)
	y, _ := inkPercent(b)
	return cmp.Compare(x, y)
}

// at returns the light at a place of the page, about 1.
func (l *Lighting) at(xMM, yMM float64) float64 {
	sum := 0.0
	for i, b := range l.basis(xMM, yMM, len(l.shape)) {
		sum += float64(l.shape[i] * b)
	}
	return math.Exp(sum)
}

// span is how far the light varies over the page, %.
func (l *Lighting) span() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range 9 {
		for j := range 9 {
			v := l.at(l.frame[2]*float64(i)/4, l.frame[3]*float64(j)/4)
			low, high = min(low, v), max(high, v)
		}
	}
	return 100 * (high - low)
}

// even takes the scanner's light out of a reading.
func (l *Lighting) even(r *Reading) {
	if !l.Removed || r.Count == 0 {
		return
	}
	before := r.Lstar
	r.y /= l.at(r.XMM, r.YMM)
	r.Lstar = lightness(r.y)
	if r.Lstar > 100 {
		r.Lstar, r.Flag = 100, "brighter than the scanner's white"
	}
	for i := range r.seen.block {
		r.seen.block[i] += r.Lstar - before
	}
}
