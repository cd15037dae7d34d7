package scan

import "math"

// Warp says where each place of a page lies in a plane: a straight-line map plus
// a smooth bend that curled paper needs.
type Warp struct {
	base   Affine
	knots  []Point // page, mm
	bx, by []float64
}

// ToPlane returns where a place of the page, in millimetres, lies in the plane.
func (w *Warp) ToPlane(xMM, yMM float64) Point {
	p := w.base.ToPlane(xMM, yMM)
	for i, k := range w.knots {
		dx, dy := xMM-k.X, yMM-k.Y
		u := bend(float64(dx*dx) + float64(dy*dy))
		p.X += float64(w.bx[i] * u)
		p.Y += float64(w.by[i] * u)
	}
	return p
}

// Around returns the straight-line map that touches the warp at a place of the
// page. Within a patch it is as good as the warp, and many times quicker.
func (w *Warp) Around(xMM, yMM float64) Affine {
	a := w.base
	for i, k := range w.knots {
		dx, dy := xMM-k.X, yMM-k.Y
		slope := bendSlope(float64(dx*dx) + float64(dy*dy))
		a.XX += float64(w.bx[i] * slope * dx)
		a.XY += float64(w.bx[i] * slope * dy)
		a.YX += float64(w.by[i] * slope * dx)
		a.YY += float64(w.by[i] * slope * dy)
	}
	p := w.ToPlane(xMM, yMM)
	a.X0 = p.X - float64(a.XX*xMM) - float64(a.XY*yMM)
	a.Y0 = p.Y - float64(a.YX*xMM) - float64(a.YY*yMM)
	return a
}

// ToPage returns which place of the page, in millimetres, lies at a point of the
// plane, to better than a thousandth of a millimetre where the warp is as gentle
// as that of a page.
func (w *Warp) ToPage(p Point) (xMM, yMM float64) {
	xMM, yMM = w.base.ToPage(p)
	for range 6 {
		there := w.ToPlane(xMM, yMM)
		dx, dy := w.base.ToPage(Point{p.X - there.X + w.base.X0, p.Y - there.Y + w.base.Y0})
		xMM, yMM = xMM+dx, yMM+dy
		if math.Abs(dx)+math.Abs(dy) < 1e-6 {
			break
		}
	}
	return xMM, yMM
}

// bend is the thin plate's shape about one load, r² log r², of the squared
// distance. Source: Bookstein, IEEE PAMI 11 (1989) 567, from memory.
func bend(r2 float64) float64 {
	if r2 < 1e-12 {
		return 0
	}
	return 0.5 * r2 * math.Log(r2)
}

// bendSlope is the gradient of bend, divided by the way from the load.
func bendSlope(r2 float64) float64 {
	if r2 < 1e-12 {
		return 0
	}
	return math.Log(r2) + 1
}
