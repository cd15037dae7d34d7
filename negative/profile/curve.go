package profile

import (
	"encoding/binary"
	"math"
)

// curve is a one-dimensional function from 0..1 to 0..1.
type curve func(v float64) float64

// curve reads a tag of type curv or para, ICC.1:2010 10.5 and 10.15. Results
// beyond 0..1 are limited to it, as 10.15 asks.
func (c *container) curve(name string) (curve, error) {
	tag, err := c.tag(name)
	if err != nil {
		return nil, err
	}
	if len(tag) < 12 {
		return nil, broken("tag "+name, "has %d bytes, expected at least 12", len(tag))
	}
	return readCurve(name, tag)
}

// curveBytes is the length of a curve that readCurve has read.
func curveBytes(tag []byte) int {
	if kind(tag) == "curv" {
		return 12 + 2*int(binary.BigEndian.Uint32(tag[8:]))
	}
	return 12 + 4*parameters[binary.BigEndian.Uint16(tag[8:])]
}

// readCurve reads the curve at the beginning of tag, which has at least 12 bytes.
func readCurve(name string, tag []byte) (curve, error) {
	switch kind(tag) {
	case "curv":
		return sampledCurve(name, tag)
	case "para":
		return parametricCurve(name, tag)
	}
	return nil, broken("tag "+name, "is of type %q, expected \"curv\" or \"para\"", kind(tag))
}

// sampledCurve reads curv: no entry is the identity, one a gamma (u8Fixed8),
// more a table joined by straight lines.
func sampledCurve(name string, tag []byte) (curve, error) {
	count := int64(binary.BigEndian.Uint32(tag[8:]))
	if have := int64(len(tag)-12) / 2; count > have {
		return nil, broken("tag "+name, "claims %d curve points, has %d", count, have)
	}
	points := tag[12 : 12+2*count]
	switch count {
	case 0:
		return identity, nil
	case 1:
		gamma := float64(binary.BigEndian.Uint16(points)) / 256
		return power(name, gamma)
	}
	table := make([]float64, count)
	for i := range table {
		table[i] = float64(binary.BigEndian.Uint16(points[2*i:])) / 65535
	}
	return func(v float64) float64 { return interpolate(table, v) }, nil
}

func power(name string, gamma float64) (curve, error) {
	if gamma <= 0 {
		return nil, broken("tag "+name, "has the gamma %g, expected more than 0", gamma)
	}
	return func(v float64) float64 { return math.Pow(v, gamma) }, nil
}

// interpolate joins a table over 0..1 by straight lines.
func interpolate(table []float64, v float64) float64 {
	x := v * float64(len(table)-1)
	i := min(int(x), len(table)-2)
	return table[i] + float64((x-float64(i))*(table[i+1]-table[i]))
}

// parameters is how many numbers each function type of para has, g a b c d e f
// in this order (ICC.1:2010, table 65).
var parameters = []int{1, 3, 4, 5, 7}

func parametricCurve(name string, tag []byte) (curve, error) {
	form := int(binary.BigEndian.Uint16(tag[8:]))
	if form >= len(parameters) {
		return nil, broken("tag "+name, "has function type %d, expected 0 to 4", form)
	}
	if need := 12 + 4*parameters[form]; len(tag) < need {
		return nil, broken("tag "+name, "has %d bytes, expected %d", len(tag), need)
	}
	var p [7]float64
	for i := range parameters[form] {
		p[i] = fixed(tag[12+4*i:])
	}
	g, a, b := p[0], p[1], p[2]
	if form == 0 {
		return power(name, g)
	}
	if g <= 0 || ((form == 1 || form == 2) && a <= 0) {
		return nil, broken("tag "+name, "has gamma %g and slope %g, expected more than 0", g, a)
	}
	c, d, e, f := p[3], p[4], p[5], p[6]
	switch form {
	case 1: // (aX+b)^g from X = -b/a on, 0 below
		c, d = 0, -b/a
	case 2: // (aX+b)^g + c from X = -b/a on, c below
		c, d, e, f = 0, -b/a, p[3], p[3]
	}
	return segments(g, a, b, c, d, e, f), nil
}

// segments is function type 4, to which all others can be brought:
// (aX+b)^g + e from X = d on, cX + f below.
func segments(g, a, b, c, d, e, f float64) curve {
	return func(v float64) float64 {
		y := float64(c*v) + f
		if v >= d {
			y = math.Pow(max(float64(a*v)+b, 0), g) + e
		}
		return min(max(y, 0), 1)
	}
}
