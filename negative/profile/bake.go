package profile

import "math"

// bake tabulates weight * c over all 16-bit codes.
func bake(c curve, weight float64) []float32 { return weighted(tabulate(c), weight) }

func weighted(table []float64, weight float64) []float32 {
	out := make([]float32, len(table))
	for i, v := range table {
		out[i] = float32(weight * v)
	}
	return out
}

// stretchCodes is how many codes lie between two at which a curve is worked out;
// codes at 5 and 11 of them prove what is put between.
const stretchCodes = 16

// asGood is how far a cubic may be from the curve, of 1. Of luminance this is
// 0.00001 L* where L* is steepest.
const asGood = 1e-8

// tabulate returns c of all 16-bit codes. Powers cost much more than all the rest
// of a start: where the curve is smooth a cubic through four points of it stands
// for what lies between two, and where it is not the curve itself does.
func tabulate(c curve) []float64 {
	at := func(code int) float64 { return c(float64(code) / (codes - 1)) }
	table := make([]float64, codes)
	for i := 0; i < codes; i += stretchCodes {
		table[i] = at(i)
	}
	last := codes - stretchCodes
	for i := 0; i < last; i += stretchCodes {
		if i == 0 || i+2*stretchCodes > last || !cubic(table, i, at) {
			for k := i + 1; k < i+stretchCodes; k++ {
				table[k] = at(k)
			}
		}
	}
	for k := last + 1; k < codes; k++ {
		table[k] = at(k)
	}
	return table
}

// cubic fills the stretch from code i on by Lagrange's formula over the points
// before, at and behind it, and reports whether that is as good as the curve.
func cubic(table []float64, i int, at func(code int) float64) bool {
	p, q, r, s := table[i-stretchCodes], table[i], table[i+stretchCodes], table[i+2*stretchCodes]
	// The polynomial in t = 0..1 between q and r: Newton's form, differences divided.
	d1, d2, d3 := r-q, (r-float64(2*q)+p)/2, (s-float64(3*r)+float64(3*q)-p)/6
	value := func(k int) float64 {
		t := float64(k) / stretchCodes
		return q + float64(t*(d1+float64((t-1)*(d2+float64((t+1)*d3)))))
	}
	for _, k := range [2]int{5, 11} {
		if !(math.Abs(value(k)-at(i+k)) <= asGood) {
			return false
		}
	}
	for k := 1; k < stretchCodes; k++ {
		table[i+k] = value(k)
	}
	return true
}
