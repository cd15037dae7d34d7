package monotone

import (
	"fmt"
	"math"
)

// Direction is the sense of a monotone curve.
type Direction int

// The two senses. Level stretches are part of both.
const (
	Increasing Direction = iota
	Decreasing
)

// sign returns 1 for Increasing and -1 for Decreasing.
func (d Direction) sign() float64 {
	if d == Decreasing {
		return -1
	}
	return 1
}

// Isotonic returns the monotone values nearest to y: those that make the sum
// of w[i] (fit[i]-y[i])^2 least. y is in the order of its abscissa; w holds
// positive weights (inverse variances), nil for equal ones. It takes O(n):
// neighbours that are out of order are pooled into their mean.
//
// It fails with *PointError for a value that is not finite or a weight that is
// not positive and finite.
//
// Source: M. Ayer et al., Ann. Math. Statist. 26 (1955) 641-647; R. E. Barlow
// et al., Statistical Inference under Order Restrictions (1972); both from
// memory.
func Isotonic(y, w []float64, d Direction) ([]float64, error) {
	if err := checkWeighted(y, w); err != nil {
		return nil, err
	}
	blocks := make([]block, 0, len(y))
	for i, v := range y {
		b := block{mean: d.sign() * v, weight: 1, count: 1}
		if w != nil {
			b.weight = w[i]
		}
		for n := len(blocks); n > 0 && blocks[n-1].mean >= b.mean; n = len(blocks) {
			b = b.pool(blocks[n-1])
			blocks = blocks[:n-1]
		}
		blocks = append(blocks, b)
	}
	fit := make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b.count {
			fit = append(fit, d.sign()*b.mean)
		}
	}
	return fit, nil
}

// block is a run of values that share one fitted value.
type block struct {
	mean, weight float64
	count        int
}

// pool returns b and c as one block.
func (b block) pool(c block) block {
	w := b.weight + c.weight
	return block{
		mean:   c.mean + (b.mean-c.mean)*(b.weight/w),
		weight: w, count: b.count + c.count,
	}
}

// checkWeighted refuses values and weights that cannot be averaged.
func checkWeighted(y, w []float64) error {
	if w != nil && len(w) != len(y) {
		return fmt.Errorf("%d weights for %d values", len(w), len(y))
	}
	for i, v := range y {
		if !(math.Abs(v) <= maxMagnitude) {
			return &PointError{i, fmt.Sprintf("has value %g", v)}
		}
		if w != nil && !(w[i] > 0 && w[i] <= maxMagnitude) {
			return &PointError{i, fmt.Sprintf("has weight %g, which is not positive", w[i])}
		}
	}
	return nil
}
