package scan

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// pin is a place of the page, in millimetres, and where it was seen.
type pin struct {
	page Point
	at   Point
}

// fitAffine returns the straight-line map through the pins by least squares.
// It reports false when they lie along one line, or are fewer than three.
func fitAffine(pins []pin) (Affine, bool) {
	if len(pins) < 3 {
		return Affine{}, false
	}
	centre := middle(pins)
	var xx, xy, yy, ux, uy, vx, vy, u, v float64
	for _, p := range pins {
		x, y := p.page.X-centre.X, p.page.Y-centre.Y
		xx, xy, yy = xx+float64(x*x), xy+float64(x*y), yy+float64(y*y)
		ux, uy = ux+float64(p.at.X*x), uy+float64(p.at.X*y)
		vx, vy = vx+float64(p.at.Y*x), vy+float64(p.at.Y*y)
		u, v = u+p.at.X, v+p.at.Y
	}
	det := float64(xx*yy) - float64(xy*xy)
	if !(det > 1e-4*float64((xx+yy)*(xx+yy))) {
		return Affine{}, false
	}
	n := float64(len(pins))
	a := Affine{
		XX: (float64(ux*yy) - float64(uy*xy)) / det, XY: (float64(uy*xx) - float64(ux*xy)) / det,
		YX: (float64(vx*yy) - float64(vy*xy)) / det, YY: (float64(vy*xx) - float64(vx*xy)) / det,
	}
	a.X0 = u/n - float64(a.XX*centre.X) - float64(a.XY*centre.Y)
	a.Y0 = v/n - float64(a.YX*centre.X) - float64(a.YY*centre.Y)
	return a, a.Area() != 0 && !math.IsNaN(a.Area()) && !math.IsInf(a.Area(), 0)
}

// middle returns the mean place of the pins on the page.
func middle(pins []pin) Point {
	var c Point
	for _, p := range pins {
		c.X += p.page.X
		c.Y += p.page.Y
	}
	n := float64(len(pins))
	return Point{c.X / n, c.Y / n}
}

// A bend needs more than the four corners, which may be a user's pointing; and it
// follows the marks closely: they are measured to a few hundredths of a
// millimetre (seen in tests on scans of 150 pixels an inch and more), and curl is
// far larger. The stiffness is a working value of ours, in mm².
const (
	bendingPins = 5
	stiffness   = 300
)

// fitWarp lays the page through the pins: by a straight-line map, and from
// bendingPins on by a thin plate. It also returns by how many plane pixels each
// pin is missed by the map laid through the others. It reports false when no map
// can be laid.
func fitWarp(pins []pin) (w *Warp, missed []float64, ok bool) {
	base, ok := fitAffine(pins)
	if !ok {
		return nil, nil, false
	}
	if len(pins) < bendingPins {
		return &Warp{base: base}, affineMisses(base, pins), true
	}
	return fitPlate(pins, stiffness)
}

// affineMisses returns the leave-one-out distances of a straight-line fit, by
// way of its hat matrix.
func affineMisses(a Affine, pins []pin) []float64 {
	missed := make([]float64, len(pins))
	for i, p := range pins {
		share := 1 - leverage(pins, p.page)
		q := a.ToPlane(p.page.X, p.page.Y)
		missed[i] = math.Hypot(q.X-p.at.X, q.Y-p.at.Y) / max(share, 0.1)
	}
	return missed
}

// leverage returns the variance with which the straight-line map through pins
// knows a place of the page, in units of one pin's.
func leverage(pins []pin, place Point) float64 {
	c := middle(pins)
	var xx, xy, yy float64
	for _, p := range pins {
		x, y := p.page.X-c.X, p.page.Y-c.Y
		xx, xy, yy = xx+float64(x*x), xy+float64(x*y), yy+float64(y*y)
	}
	det := float64(xx*yy) - float64(xy*xy)
	if !(det > 0) {
		return math.Inf(1)
	}
	x, y := place.X-c.X, place.Y-c.Y
	return 1/float64(len(pins)) + (float64(yy*x*x)-float64(2*xy*x*y)+float64(xx*y*y))/det
}

// fitPlate solves the smoothing thin plate and returns its leave-one-out
// distances. Source: Wahba, Spline models for observational data (1990), ch. 2
// and 4, from memory.
func fitPlate(pins []pin, stiffness float64) (*Warp, []float64, bool) {
	n := len(pins)
	system := plateSystem(pins, stiffness)
	var inverse mat.Dense
	if inverse.Inverse(system) != nil {
		return nil, nil, false
	}
	w := &Warp{knots: make([]Point, n), bx: make([]float64, n), by: make([]float64, n)}
	var tail [3]Point
	for i := range n + 3 {
		var x, y float64
		for j, p := range pins {
			x += float64(inverse.At(i, j) * p.at.X)
			y += float64(inverse.At(i, j) * p.at.Y)
		}
		if i < n {
			w.knots[i], w.bx[i], w.by[i] = pins[i].page, x, y
		} else {
			tail[i-n] = Point{x, y}
		}
	}
	w.base = Affine{XX: tail[1].X, XY: tail[2].X, X0: tail[0].X, YX: tail[1].Y, YY: tail[2].Y, Y0: tail[0].Y}
	missed := make([]float64, n)
	for i := range pins {
		// Left out, a pin is missed by its load over its own element of the inverse.
		missed[i] = math.Hypot(w.bx[i], w.by[i]) / math.Abs(inverse.At(i, i))
		if math.IsNaN(missed[i]) || math.IsInf(missed[i], 0) {
			return nil, nil, false
		}
	}
	return w, missed, w.base.Area() != 0
}

// plateSystem is the thin plate's matrix: bends with the stiffness on their
// diagonal, and the straight-line map that the loads must not take part in.
func plateSystem(pins []pin, stiffness float64) *mat.Dense {
	n := len(pins)
	m := mat.NewDense(n+3, n+3, nil)
	for i, p := range pins {
		for j, q := range pins {
			dx, dy := p.page.X-q.page.X, p.page.Y-q.page.Y
			m.Set(i, j, bend(float64(dx*dx)+float64(dy*dy)))
		}
		m.Set(i, i, stiffness)
		for k, v := range [3]float64{1, p.page.X, p.page.Y} {
			m.Set(i, n+k, v)
			m.Set(n+k, i, v)
		}
	}
	return m
}
