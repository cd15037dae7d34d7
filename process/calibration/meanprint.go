package calibration

import (
	"gonum.org/v1/gonum/mat"
)

// The curve of a calibration is that of the mean of its prints, at the first
// print's exposure: what can be known of them. The curve that all prints of a
// setup scatter about is less well known, by the scatter over the root of their
// number; that belongs to the next print and stands in its doubt alone.
//
// A fit of several prints finds the second. toMeanPrint turns it into the first:
// paper, net density and contrast of the common curve become those of the mean
// print, and the prints' deviations count from there. No reading's expectation
// changes, but for a bend of the paper's correction by the mean contrast, which
// is next to nothing.
func (f *fitted) toMeanPrint() {
	if f.prints < 2 {
		return
	}
	n := f.size()
	turn := mat.NewDense(n, n, nil)
	for i := range n {
		turn.Set(i, i, 1)
	}
	for i, at := range map[int]int{0: atPaper, 1: atNet, 3: atForm + 1} {
		for _, k := range f.averaged(i) {
			share := 1 / float64(len(f.averaged(i)))
			from := f.deviation(k) + i
			turn.Set(at, from, share)
			for other := range f.prints {
				to := f.deviation(other) + i
				turn.Set(to, from, turn.At(to, from)-share)
				if i == 3 { // the gradient takes shifts with it
					shift := f.deviation(other) + 2
					turn.Set(shift, from, -share*f.mean[shift])
				}
			}
		}
	}
	mean := mat.NewVecDense(n, nil)
	mean.MulVec(turn, mat.NewVecDense(n, f.mean))
	var half, full mat.Dense
	half.Mul(turn, f.covariance)
	full.Mul(&half, turn.T())
	f.mean, f.mid = mean.RawVector().Data, nil
	f.covariance = mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			f.covariance.SetSym(i, k, (full.At(i, k)+full.At(k, i))/2)
		}
	}
}

// averaged lists the prints whose deviation number i makes the mean print: those
// that do not differ in it.
func (f *fitted) averaged(i int) []int {
	var out []int
	for k := range f.prints {
		if f.loose == nil || !f.loose[k][i] {
			out = append(out, k)
		}
	}
	return out
}
