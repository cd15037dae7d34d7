package scan

import "math"

// pageMap lays a page on a plane.
type pageMap interface {
	// ToPlane takes millimetres on the page to pixels of the plane.
	ToPlane(xMM, yMM float64) Point
}

// area is a rectangle on the page, turned about its centre.
type area struct {
	xMM, yMM         float64 // centre
	halfWMM, halfHMM float64
	turn             float64 // clockwise on the page, radians
}

// at returns the place on the page of u across and v down the area, each -1 to 1.
func (a area) at(u, v float64) (xMM, yMM float64) {
	sin, cos := math.Sincos(a.turn)
	dx, dy := u*a.halfWMM, v*a.halfHMM
	return a.xMM + float64(dx*cos) - float64(dy*sin), a.yMM + float64(dx*sin) + float64(dy*cos)
}

// corners returns the area's corners in the plane, clockwise.
func (a area) corners(m pageMap) [4]Point {
	var out [4]Point
	for i, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		out[i] = m.ToPlane(a.at(c[0], c[1]))
	}
	return out
}

// mapping takes pixels of the plane into an area by the affine map that fits its
// corners best: over the few millimetres of an area the page is flat.
type mapping struct {
	centre         Point
	ux, uy, vx, vy float64 // u = ux dx + uy dy, v = vx dx + vy dy
	box            [4]int  // x0, y0, x1, y1: pixels that may lie inside
	sound          bool
}

func (a area) mapping(m pageMap, p *Plane) mapping {
	c := a.corners(m)
	out := mapping{}
	for _, q := range c {
		out.centre.X += q.X / 4
		out.centre.Y += q.Y / 4
	}
	ax, ay := (c[1].X+c[2].X-c[0].X-c[3].X)/4, (c[1].Y+c[2].Y-c[0].Y-c[3].Y)/4
	bx, by := (c[2].X+c[3].X-c[0].X-c[1].X)/4, (c[2].Y+c[3].Y-c[0].Y-c[1].Y)/4
	det := float64(ax*by) - float64(ay*bx)
	if !(math.Abs(det) > 1e-6) || math.IsInf(det, 0) {
		return out
	}
	out.sound = true
	out.ux, out.uy, out.vx, out.vy = by/det, -bx/det, -ay/det, ax/det
	rx, ry := math.Abs(ax)+math.Abs(bx), math.Abs(ay)+math.Abs(by)
	out.box = [4]int{within(out.centre.X-rx, p.Width), within(out.centre.Y-ry, p.Height),
		within(out.centre.X+rx+1, p.Width), within(out.centre.Y+ry+1, p.Height)}
	return out
}

// within returns the pixel at v, kept to 0..n.
func within(v float64, n int) int { return int(math.Floor(min(max(v, 0), float64(n)))) }

// each calls visit for every pixel of the plane whose middle lies in the area,
// row by row, and returns how many pixels the whole area should have.
func (m mapping) each(p *Plane, visit func(x, y int, u, v float64)) (expected float64) {
	if !m.sound {
		return 0
	}
	for y := m.box[1]; y < m.box[3]; y++ {
		dy := float64(y) + 0.5 - m.centre.Y
		for x := m.box[0]; x < m.box[2]; x++ {
			dx := float64(x) + 0.5 - m.centre.X
			u, v := float64(m.ux*dx)+float64(m.uy*dy), float64(m.vx*dx)+float64(m.vy*dy)
			if u >= -1 && u <= 1 && v >= -1 && v <= 1 {
				visit(x, y, u, v)
			}
		}
	}
	return 4 / math.Abs(float64(m.ux*m.vy)-float64(m.uy*m.vx))
}
