package scan

import (
	"math"
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

	shape []float64 // of the logarithm of light over the page, mean 0 over the places
	frame [4]float64
}

// Working values of ours.
const (
	// whiteAgrees is how near full ink must print to the paper under the tape,
	// or to ink a quarter weaker, to be paper white: then a change of exposure by
	// 0.03 changes it by less than 0.05 L*.
	whiteAgrees = 0.2
	weaker      = 75.0 // %
	weakerReach = 6.0  // %
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
	full := fullInk(rs)
	if len(full) < leastLight {
		return l
	}
	terms := 3
	if len(full) >= leastCurved {
		terms = 6
	}
	shape, sure := l.fit(full, terms)
	if shape == nil || !l.isWhite(shape, full, rs, box) {
		return l
	}
	l.Places, l.shape = len(full), shape
	l.RangePercent = l.span()
	l.Removed = sure && l.RangePercent >= leastRange
	return l
}

// fullInk returns the patches of full ink that may be white.
func fullInk(rs []*Reading) []*Reading {
	var full []*Reading
	var lstar []float64
	for _, r := range rs {
		if r.Flag == "" && isFull(r) {
			full, lstar = append(full, r), append(lstar, r.Lstar)
		}
	}
	if median(lstar) < whiteLstar {
		return nil
	}
	return full
}

// isWhite reports whether it is sure that full ink prints as bare paper: the paper
// under the tape, or else ink a quarter weaker, reads as full ink would in its
// place.
func (l *Lighting) isWhite(shape []float64, full, rs []*Reading, box *Reading) bool {
	level := 0.0
	for _, r := range full {
		level += math.Log(r.y) / float64(len(full))
	}
	field := Lighting{shape: shape, frame: l.frame}
	off := func(r *Reading) float64 {
		return r.Lstar - lightness(math.Exp(level)*field.at(r.XMM, r.YMM))
	}
	if box != nil {
		return math.Abs(off(box)) < whiteAgrees
	}
	var weak []float64
	for _, r := range rs {
		if r.Flag == "" && r.patch.Ink != nil && math.Abs(*r.patch.Ink-weaker) <= weakerReach {
			weak = append(weak, off(r))
		}
	}
	return len(weak) > 0 && math.Abs(median(weak)) < whiteAgrees
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

// fit returns the least-squares surface of log light through the places, and
// whether it says more than noise would (F test).
func (l *Lighting) fit(whites []*Reading, terms int) (shape []float64, sure bool) {
	n := len(whites)
	a, y := mat.NewDense(n, terms, nil), mat.NewVecDense(n, nil)
	mean := 0.0
	for i, r := range whites {
		a.SetRow(i, l.basis(r.XMM, r.YMM, terms))
		y.SetVec(i, math.Log(r.y))
		mean += math.Log(r.y) / float64(n)
	}
	var c, left mat.VecDense
	if err := c.SolveVec(a, y); err != nil {
		return nil, false
	}
	left.MulVec(a, &c)
	left.SubVec(y, &left)
	rss, flat := mat.Dot(&left, &left), 0.0
	for i := range n {
		d := y.AtVec(i) - mean
		flat += float64(d * d)
	}
	shape = c.RawVector().Data
	shape[0] -= mean
	p, q := float64(terms-1), float64(n-terms)
	f := (flat - rss) / p / max(rss/q, 1e-9) // at least 0.003 % of noise
	return shape, distuv.F{D1: p, D2: q}.Survival(f) < leastSure
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
