package calibration

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// By hand: readings of information 4 leave a parameter a variance of 1/4 at most;
// one that they say nothing of keeps its own.
func TestNoLooser(t *testing.T) {
	wide := mat.NewSymDense(2, []float64{9, 0, 0, 0.2})
	told := mat.NewSymDense(2, []float64{4, 0, 0, 0})
	got := noLooser(wide, told)
	for i, want := range []float64{0.25, 0.2} {
		if math.Abs(got.At(i, i)-want) > 1e-12 {
			t.Errorf("variance %d is %g, want %g", i, got.At(i, i), want)
		}
	}
	if off := got.At(0, 1); math.Abs(off) > 1e-12 {
		t.Errorf("covariance %g out of nowhere", off)
	}
}
