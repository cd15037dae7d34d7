package monotone

import "math"

// Grid is an evenly spaced set of nodes over [Lo, Hi] on which rising
// functions are integrated, with a basis of hat functions (linear B-splines,
// evenly spaced knots, both ends included) for the logarithm of their slope.
type Grid struct {
	Lo, Hi float64
	Nodes  int // grid nodes, at least 2
	Knots  int // hat functions, at least 2
}

// step is the distance between nodes.
func (g Grid) step() float64 { return (g.Hi - g.Lo) / float64(g.Nodes-1) }

// Node returns the position of node i.
func (g Grid) Node(i int) float64 { return g.Lo + float64(i)*g.step() }

// Knot returns the position of knot j.
func (g Grid) Knot(j int) float64 {
	return g.Lo + float64(j)*(g.Hi-g.Lo)/float64(g.Knots-1)
}

// Hats returns the two hat functions that are not zero at node i: the index of
// the left one, and the weights of the left and the right one.
func (g Grid) Hats(i int) (j int, left, right float64) {
	pos := float64(i) * float64(g.Knots-1) / float64(g.Nodes-1)
	j = min(int(pos), g.Knots-2)
	right = pos - float64(j)
	return j, 1 - right, right
}

// Rising is a strictly increasing function, the integral of exp(s) from Lo,
// where s is known at the nodes of a Grid and the slope runs linearly between
// them. With every slope positive no constraint is needed: this is the
// exponential parameterisation of Ramsay, "Estimating smooth monotone
// functions", J. R. Statist. Soc. B 60 (1998) 365-375.
type Rising struct {
	grid  Grid
	slope []float64 // exp(s) at the nodes
	value []float64 // integral from Lo to each node
}

// NewRising integrates exp(logSlope); logSlope has one finite value a node.
func NewRising(g Grid, logSlope []float64) *Rising {
	if len(logSlope) != g.Nodes || g.Nodes < 2 || g.Knots < 2 || !(g.Hi > g.Lo) {
		panic("monotone: log slope and grid do not match")
	}
	r := &Rising{grid: g, slope: make([]float64, g.Nodes), value: make([]float64, g.Nodes)}
	h := g.step()
	for i, s := range logSlope {
		r.slope[i] = math.Exp(s)
		if i > 0 {
			r.value[i] = r.value[i-1] + float64(h*(r.slope[i-1]+r.slope[i])/2)
		}
	}
	return r
}

// cell returns the cell that holds x and the place in it, 0 to 1. Outside
// [Lo, Hi] the place runs below 0 or above 1.
func (r *Rising) cell(x float64) (int, float64) {
	pos := (x - r.grid.Lo) / r.grid.step()
	i := max(0, min(int(math.Floor(pos)), r.grid.Nodes-2))
	return i, pos - float64(i)
}

// weights returns how the value at x depends on the slopes of its cell's two
// nodes, beside the integral up to the cell. Beyond the ends the function goes
// on with the end slope, so that a fit may step outside for a moment; callers
// that report values keep inside [Lo, Hi].
func (r *Rising) weights(x float64) (i int, left, right float64) {
	i, t := r.cell(x)
	h := r.grid.step()
	switch {
	case t < 0:
		return i, h * t, 0
	case t > 1:
		return i, h / 2, h/2 + h*(t-1)
	}
	return i, h * (t - t*t/2), h * t * t / 2
}

// Value returns the integral from Lo to x.
func (r *Rising) Value(x float64) float64 {
	i, left, right := r.weights(x)
	return r.value[i] + float64(left*r.slope[i]) + float64(right*r.slope[i+1])
}

// Slope returns the derivative at x, always positive.
func (r *Rising) Slope(x float64) float64 {
	i, t := r.cell(x)
	t = math.Max(0, math.Min(1, t))
	return float64((1-t)*r.slope[i]) + float64(t*r.slope[i+1])
}

// Inverse returns the x at which Value is y. Beyond the ends it follows the
// end slopes, as Value does.
func (r *Rising) Inverse(y float64) float64 {
	n, h := r.grid.Nodes, r.grid.step()
	if y <= 0 {
		return r.grid.Lo + y/r.slope[0]
	}
	if y >= r.value[n-1] {
		return r.grid.Hi + (y-r.value[n-1])/r.slope[n-1]
	}
	lo, hi := 0, n-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; r.value[mid] <= y {
			lo = mid
		} else {
			hi = mid
		}
	}
	// y - value = h (a t + (b-a) t²/2), solved in the form that does not cancel.
	a, b, c := r.slope[lo], r.slope[hi], (y-r.value[lo])/h
	t := 2 * c / (a + math.Sqrt(float64(a*a)+float64(2*(b-a)*c)))
	return r.grid.Node(lo) + float64(t*h)
}

// Sensitivity says how a Rising function answers to the parameters that its
// log slope depends on: column k holds, at each node, the integral from Lo of
// slope x d(log slope)/d(parameter k).
type Sensitivity struct {
	rising  *Rising
	columns int
	dlog    []float64 // nodes x columns: d(log slope)/d(parameter)
	total   []float64 // nodes x columns: integrals up to each node
}

// NewSensitivity takes d(log slope)/d(parameter), row by row for each node.
func NewSensitivity(r *Rising, dLogSlope []float64) *Sensitivity {
	n := r.grid.Nodes
	s := &Sensitivity{rising: r, columns: len(dLogSlope) / n, dlog: dLogSlope,
		total: make([]float64, len(dLogSlope))}
	half := r.grid.step() / 2
	for i := 1; i < n; i++ {
		a, b := half*r.slope[i-1], half*r.slope[i]
		for k := range s.columns {
			at, before := i*s.columns+k, (i-1)*s.columns+k
			s.total[at] = s.total[before] + a*dLogSlope[before] + b*dLogSlope[at]
		}
	}
	return s
}

// At writes d(Value(x))/d(parameter) into dst, which has one place a column.
func (s *Sensitivity) At(x float64, dst []float64) {
	i, left, right := s.rising.weights(x)
	left *= s.rising.slope[i]
	right *= s.rising.slope[i+1]
	row := i * s.columns
	for k := range s.columns {
		dst[k] = s.total[row+k] + left*s.dlog[row+k] + right*s.dlog[row+s.columns+k]
	}
}
