package scan

import "math"

// Affine is a straight-line map of the page, in millimetres, to a plane, in its
// pixels: X = XX x + XY y + X0, Y = YX x + YY y + Y0.
type Affine struct {
	XX, XY, X0 float64
	YX, YY, Y0 float64
}

// ToPlane returns where a place of the page lies in the plane.
func (a Affine) ToPlane(xMM, yMM float64) Point {
	return Point{
		X: float64(a.XX*xMM) + float64(a.XY*yMM) + a.X0,
		Y: float64(a.YX*xMM) + float64(a.YY*yMM) + a.Y0,
	}
}

// ToPage returns which place of the page, in millimetres, lies at a point of the
// plane. The map must not be flat (see Area).
func (a Affine) ToPage(p Point) (xMM, yMM float64) {
	area := a.Area()
	dx, dy := p.X-a.X0, p.Y-a.Y0
	return (float64(a.YY*dx) - float64(a.XY*dy)) / area, (float64(a.XX*dy) - float64(a.YX*dx)) / area
}

// Area returns how many square pixels a square millimetre covers; negative when
// the page is seen mirrored.
func (a Affine) Area() float64 { return float64(a.XX*a.YY) - float64(a.XY*a.YX) }

// mirrored reports whether the page is seen from its back.
func (a Affine) mirrored() bool { return a.Area() < 0 }

// across and down return plane pixels a millimetre along the page's two sides.
func (a Affine) across() float64 { return math.Hypot(a.XX, a.YX) }
func (a Affine) down() float64   { return math.Hypot(a.XY, a.YY) }

// scale returns plane pixels a millimetre, both sides taken together.
func (a Affine) scale() float64 { return math.Sqrt(math.Abs(a.Area())) }

// skew returns the sine of what the page's corners miss to a right angle.
func (a Affine) skew() float64 {
	return (float64(a.XX*a.XY) + float64(a.YX*a.YY)) / (a.across() * a.down())
}

// angleDegrees returns the page's turn, clockwise, -180 to 180: that of its
// left edge, which a mirrored page keeps.
func (a Affine) angleDegrees() float64 { return math.Atan2(-a.XY, a.YY) * 180 / math.Pi }

// plausible reports whether a page of paper can lie like this: wet paper
// shrinks, at most a few per cent differently both ways, and keeps its right
// angles. 2 % is asked for by the trade (common practice, no source); the limits
// leave room for the error of three marks.
func (a Affine) plausible() bool {
	const mostStretch, mostSkew = 1.05, 0.02
	ratio := a.across() / a.down()
	return ratio < mostStretch && ratio > 1/mostStretch && math.Abs(a.skew()) < mostSkew
}
