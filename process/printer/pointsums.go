package printer

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// reading is a point with what the fit makes of it: a number with a weight. Of a
// bound it makes one that says as much (modelsites.go).
type reading struct {
	*Point
	trust     float64 // 1, less for an outlier
	value     float64 // log10
	precision float64 // 1/variance, 0 for one that says nothing
	shift     float64 // what the terms make of it, as far as they are known
}

// weight is the precision that the fit gives a reading.
func (r *reading) weight() float64 { return r.precision * r.trust }

// colourSum is all readings of one colour, summed up.
type colourSum struct {
	rgb      RGB
	readings []*reading

	weight float64   // sum of the weights
	mean   float64   // weighted mean of the values, 0 without weight
	terms  []float64 // weighted mean of the terms
	net    float64   // mean less what the terms make of it
}

// sums is all readings, one entry a colour in the order of their first points,
// and what readings of one colour say about the terms by their differences.
type sums struct {
	colours []*colourSum
	count   int // of terms
	termSD  []float64
	within  *mat.SymDense // sum of weight x (terms - mean)(terms - mean)', nil without terms
	rhs     []float64     // sum of weight x (terms - mean)(value - mean)
}

// gather groups points by colour.
func gather(points []Point, termSD []float64) *sums {
	terms := len(termSD)
	s := &sums{count: terms, termSD: termSD, rhs: make([]float64, terms)}
	if terms > 0 {
		s.within = mat.NewSymDense(terms, nil)
	}
	at := map[RGB]*colourSum{}
	for i := range points {
		p := &points[i]
		c := at[p.RGB]
		if c == nil {
			c = &colourSum{rgb: p.RGB, terms: make([]float64, terms)}
			at[p.RGB] = c
			s.colours = append(s.colours, c)
		}
		c.readings = append(c.readings, p.readings()...)
	}
	return s
}

// readings returns what a point says: a number, or one reading a bound.
func (p *Point) readings() []*reading {
	if p.known() {
		sd := math.Max(p.SD, finestSD)
		return []*reading{{Point: p, trust: 1, value: p.UVDensity, precision: 1 / (sd * sd)}}
	}
	var out []*reading
	for k, b := range []float64{p.AtLeast, p.AtMost} {
		if !math.IsNaN(b) {
			one := *p
			one.AtLeast, one.AtMost = math.NaN(), math.NaN()
			*[]*float64{&one.AtLeast, &one.AtMost}[k] = b
			out = append(out, &reading{Point: &one, trust: 1})
		}
	}
	return out
}

// sumUp adds the readings of each colour up with their present weights.
func (s *sums) sumUp() {
	if s.within != nil {
		s.within.Zero()
	}
	clear(s.rhs)
	for _, c := range s.colours {
		c.sumUp()
		if s.count > 0 && len(c.readings) > 1 {
			s.addWithin(c)
		}
	}
}

func (c *colourSum) sumUp() {
	c.weight, c.mean = 0, 0
	clear(c.terms)
	for _, r := range c.readings {
		w := r.weight()
		if w == 0 {
			continue
		}
		c.weight += w
		share := w / c.weight
		c.mean += share * (r.value - c.mean)
		for k, z := range r.Terms {
			c.terms[k] += share * (z - c.terms[k])
		}
		if r.Terms == nil {
			for k := range c.terms {
				c.terms[k] -= share * c.terms[k]
			}
		}
	}
}

// addWithin adds what the readings of a colour say about the terms by their
// differences from each other.
func (s *sums) addWithin(c *colourSum) {
	d := mat.NewVecDense(s.count, nil)
	for _, r := range c.readings {
		w := r.weight()
		if w == 0 {
			continue
		}
		for k := range s.count {
			z := 0.0
			if r.Terms != nil {
				z = r.Terms[k]
			}
			d.SetVec(k, z-c.terms[k])
			s.rhs[k] += w * (z - c.terms[k]) * (r.value - c.mean)
		}
		s.within.SymRankOne(s.within, w, d)
	}
}

// offset returns what the coefficients make of a reading, or of a colour's mean.
func offset(terms, coefficients []float64) float64 {
	sum := 0.0
	for k, z := range terms {
		sum += z * coefficients[k]
	}
	return sum
}

// bounds returns the largest lower and the least upper bound of a colour,
// infinite without one.
func (c *colourSum) bounds() (atLeast, atMost float64) {
	atLeast, atMost = math.Inf(-1), math.Inf(1)
	for _, r := range c.readings {
		if r.known() {
			continue
		}
		if r.AtLeast > atLeast {
			atLeast = r.AtLeast
		}
		if r.AtMost < atMost {
			atMost = r.AtMost
		}
	}
	return atLeast, atMost
}

// measured says whether a reading of the colour is a number.
func (c *colourSum) measured() bool {
	for _, r := range c.readings {
		if r.known() {
			return true
		}
	}
	return false
}
