package printer

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"actinic/process/fault"
)

// Prediction is one colour as a model tells it that did not see its readings.
type Prediction struct {
	RGB RGB
	// Measured is the weighted mean of the colour's readings, nuisance terms taken
	// off, and MeasuredSD the doubt that the readings alone leave.
	Measured, MeasuredSD float64
	// Predicted is what the other colours tell. Its doubt holds what is irregular,
	// and not what all readings share, which this comparison can't see.
	Predicted, PredictedSD float64
}

// HeldOut is Fit and the proof of its model by Model.HeldOut.
func HeldOut(points []Point, o *Options, folds int, seed uint64) ([]Prediction, error) {
	m, err := Fit(points, o)
	if err != nil {
		return nil, err
	}
	return m.HeldOut(folds, seed)
}

// HeldOut proves the model: its colours are dealt to folds by the seed, each fold
// is left out once, and what the others tell is held against its readings. Clear
// film and colours known by bounds alone are not predicted. Predictions come in
// the order of the colours' first points. folds is at least 2.
//
// Left out are the readings themselves. How rough the printer is, where the mix
// is linearised, and which readings are outliers stay as all colours together
// said: some thirty numbers, held near what is usual, against hundreds of colours.
func (m *Model) HeldOut(folds int, seed uint64) ([]Prediction, error) {
	if folds < 2 {
		panic(fmt.Sprintf("printer: %d folds", folds))
	}
	d := m.design
	fold := deal(len(d.uv), folds, seed)
	out := make([]Prediction, len(d.uv))
	for k := range folds {
		s, err := d.without(func(i int) bool { return fold[i] == k && !d.clear[i] }).solve()
		if err != nil {
			return nil, fault.Wrap(err, "", "", "too few colours to hold some back as a test", "print more colours")
		}
		d.predict(s, out, func(i int) bool { return fold[i] == k })
	}
	kept := out[:0]
	for i, c := range d.sums.colours {
		if !d.clear[i] && c.measured() && c.weight > 0 {
			kept = append(kept, out[i])
		}
	}
	return kept, nil
}

// deal gives each of n colours a fold.
func deal(n, folds int, seed uint64) []int {
	fold := make([]int, n)
	for i, at := range rand.New(rand.NewPCG(seed, 0)).Perm(n) {
		fold[at] = i % folds
	}
	return fold
}

// without returns the problem without the readings of some colours.
func (d *design) without(left func(i int) bool) *design {
	e, s := *d, *d.sums
	e.sums, e.rows = &s, nil
	s.colours, e.uv, e.own, e.clear = nil, nil, nil, nil
	s.rhs = make([]float64, s.count)
	if s.count > 0 {
		s.within = mat.NewSymDense(s.count, nil)
	}
	var rows []float64
	for i, c := range d.sums.colours {
		if left(i) {
			continue
		}
		s.colours = append(s.colours, c)
		e.uv, e.own, e.clear = append(e.uv, d.uv[i]), append(e.own, d.own[i]), append(e.clear, d.clear[i])
		rows = append(rows, d.rows.RawRowView(i)...)
		if s.count > 0 && len(c.readings) > 1 {
			s.addWithin(c)
		}
	}
	if _, columns := d.rows.Dims(); len(rows) > 0 {
		e.rows = mat.NewDense(len(rows)/columns, columns, rows)
	}
	return &e
}

// predict writes what a solution tells of some colours.
func (d *design) predict(s *solution, out []Prediction, held func(i int) bool) {
	terms, coefficients := d.sums.count, d.coefficients(s)
	x := make([]float64, d.unknown)
	for i, c := range d.sums.colours {
		if !held(i) {
			continue
		}
		clear(x[:terms])
		copy(x[terms:], d.rows.RawRowView(i))
		p := &out[i]
		p.RGB = c.rgb
		p.Measured, p.MeasuredSD = c.mean-offset(c.terms, coefficients), 1/math.Sqrt(c.weight)
		p.Predicted = atLeastSome(d.uv[i]+blas64.Dot(vector(x), vector(s.mean)), d.uv[i])
		p.PredictedSD = math.Sqrt(s.variance(x) + d.own[i])
	}
}
