package monotone

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

var logGrid = Grid{Lo: -2, Hi: 3, Nodes: 81, Knots: 6}

// rising integrates exp(s(x)) over logGrid.
func rising(s func(x float64) float64) *Rising {
	log := make([]float64, logGrid.Nodes)
	for i := range log {
		log[i] = s(logGrid.Node(i))
	}
	return NewRising(logGrid, log)
}

// A slope that is a straight line is what Rising holds between nodes, so that
// its integral is exact: slope 4+x from -2, hence 2t + t²/2 with t = x+2.
func TestRisingOfALinearSlope(t *testing.T) {
	r := rising(func(x float64) float64 { return math.Log(4 + x) })
	for x := -2.0; x <= 3; x += 0.0137 {
		d := x + 2
		near(t, "value", r.Value(x), 2*d+d*d/2, 1e-13)
		near(t, "slope", r.Slope(x), 4+x, 1e-13)
		near(t, "inverse", r.Inverse(2*d+d*d/2), x, 1e-13)
	}
}

// exp integrates to itself; straight lines between the nodes err by h²/12 of
// the integral of its second derivative (trapezoidal rule; Atkinson, An
// Introduction to Numerical Analysis, 1989, eq. 5.1.7).
func TestRisingOfAnExponential(t *testing.T) {
	r := rising(func(x float64) float64 { return x })
	h := logGrid.step()
	for i := range logGrid.Nodes {
		exact := math.Exp(logGrid.Node(i)) - math.Exp(-2)
		if err := r.Value(logGrid.Node(i)) - exact; err < 0 || math.Abs(err-h*h/12*exact) > 0.01*h*h*exact+1e-14 {
			t.Errorf("node %d: error %g, want %g", i, err, h*h/12*exact)
		}
	}
}

// Beyond the ends the function goes on straight, with the slope at the end, and
// so does its inverse.
func TestRisingBeyondTheEnds(t *testing.T) {
	r := rising(func(x float64) float64 { return math.Sin(2 * x) })
	first, last := math.Exp(math.Sin(-4)), math.Exp(math.Sin(6))
	for _, d := range []float64{1e-9, 0.3, 4} {
		near(t, "value below", r.Value(-2-d), -d*first, 1e-13)
		near(t, "value above", r.Value(3+d), r.Value(3)+d*last, 1e-13)
		near(t, "slope below", r.Slope(-2-d), first, 1e-13)
		near(t, "slope above", r.Slope(3+d), last, 1e-13)
		near(t, "inverse below", r.Inverse(-d*first), -2-d, 1e-12)
		near(t, "inverse above", r.Inverse(r.Value(3)+d*last), 3+d, 1e-12)
	}
}

// Any finite log slope gives a function that rises strictly and inverts.
func TestRisingProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := rapid.SliceOfN(rapid.Float64Range(-6, 6), logGrid.Nodes, logGrid.Nodes).Draw(t, "log slope")
		r := NewRising(logGrid, log)
		x := rapid.Float64Range(-4, 5).Draw(t, "x")
		gap := rapid.Float64Range(1e-6, 2).Draw(t, "gap")
		if !(r.Value(x+gap) > r.Value(x)) || !(r.Slope(x) > 0) {
			t.Fatalf("value %g at %g, %g at %g, slope %g", r.Value(x), x, r.Value(x+gap), x+gap, r.Slope(x))
		}
		// Rounding of the value counts more the smaller the slope is there.
		y := r.Value(x)
		if back := r.Inverse(y); math.Abs(back-x) > 1e-9+1e-14*math.Abs(y)/r.Slope(x) {
			t.Fatalf("inverse of value(%g) is %g", x, back)
		}
	})
}

// Slope and Sensitivity against central differences, at both ends and beyond.
func TestRisingDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	p := make([]float64, logGrid.Knots)
	for j := range p {
		p[j] = rng.NormFloat64()
	}
	build := func() (*Rising, []float64) {
		log, dlog := make([]float64, logGrid.Nodes), make([]float64, logGrid.Nodes*logGrid.Knots)
		for i := range log {
			j, left, right := logGrid.Hats(i)
			log[i] = left*p[j] + right*p[j+1]
			dlog[i*logGrid.Knots+j] += left
			dlog[i*logGrid.Knots+j+1] += right
		}
		return NewRising(logGrid, log), dlog
	}
	r, dlog := build()
	s, got := NewSensitivity(r, dlog), make([]float64, logGrid.Knots)
	for _, x := range []float64{-3, -2, -1.99, -0.6, 0.01, 1.234, 2.97, 3, 3.5} {
		const h = 1e-5
		near(t, "slope", r.Slope(x), (r.Value(x+h)-r.Value(x-h))/(2*h), 1e-4)
		s.At(x, got)
		for k := range p {
			at := p[k]
			p[k] = at + h
			up, _ := build()
			p[k] = at - h
			down, _ := build()
			p[k] = at
			near(t, "sensitivity", got[k], (up.Value(x)-down.Value(x))/(2*h), 1e-8)
		}
	}
}

// The hats are a partition of one that stands at 1 on its own knot.
func TestGridHats(t *testing.T) {
	for _, g := range []Grid{logGrid, {Lo: 0, Hi: 1, Nodes: 201, Knots: 26}, {Lo: 0, Hi: 1, Nodes: 2, Knots: 2}} {
		for i := range g.Nodes {
			j, left, right := g.Hats(i)
			if j < 0 || j+1 >= g.Knots || left < 0 || right < 0 || left+right != 1 {
				t.Fatalf("node %d of %+v: hats %d, %g, %g", i, g, j, left, right)
			}
			near(t, "hats' place", left*g.Knot(j)+right*g.Knot(j+1), g.Node(i), 1e-12)
		}
	}
}

func TestRisingPanicsOnAMismatch(t *testing.T) {
	for _, g := range []Grid{{0, 1, 3, 2}, {0, 1, 1, 2}, {0, 1, 2, 1}, {1, 1, 2, 2}, {1, 0, 2, 2}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("grid %+v with two slopes was taken", g)
				}
			}()
			NewRising(g, []float64{0, 0})
		}()
	}
}
