package proof

import (
	"math"
	"sync"
)

// filmLight turns a film's rows into the light of the print under it. It is
// safe for concurrent use: each goroutine borrows a ramp.
type filmLight struct {
	channels int
	ramps    sync.Pool
}

func newFilmLight(c Curve, channels int) *filmLight {
	nodes := rampOf(c)
	l := &filmLight{channels: channels}
	l.ramps.New = func() any { return &ramp{nodes: nodes, seen: map[[3]uint16]float32{}} }
	return l
}

// Row writes the luminance of the print for each pixel of a film row.
func (l *filmLight) Row(dst []float32, src []uint16) {
	r := l.ramps.Get().(*ramp)
	defer l.ramps.Put(r)
	for i := range dst {
		if l.channels == 1 {
			v := src[i]
			dst[i] = r.light([3]uint16{v, v, v})
		} else {
			dst[i] = r.light([3]uint16(src[3*i : 3*i+3]))
		}
	}
}

// ramp finds the film ink of printer codes: the nearest place on the ink ramp,
// so that codes beside it (8-bit dither) are placed too. It remembers the print's
// light for codes it has met. It is not safe for concurrent use.
type ramp struct {
	nodes []node
	seen  map[[3]uint16]float32
}

type node struct {
	at    [3]float64 // printer RGB
	light float64    // Y of the print
}

const (
	rampNodes  = 1024
	remembered = 1 << 19 // codes; about 20 MB
)

// rampOf tabulates the ink ramp and the print's luminance along it.
func rampOf(c Curve) []node {
	var nodes []node
	for i := range rampNodes + 1 {
		ink := float64(i) * 100 / rampNodes
		nodes = append(nodes, node{c.Device(ink), float64(c.PrintLightness(ink).Reflectance())})
	}
	return nodes
}

// light returns the luminance of the print, 0 to 1, under film with the given
// printer codes.
func (r *ramp) light(codes [3]uint16) float32 {
	if y, ok := r.seen[codes]; ok {
		return y
	}
	var v [3]float64
	for i, c := range codes {
		v[i] = float64(c) / 65535
	}
	best, y := math.Inf(1), 0.0
	for i := 1; i < len(r.nodes); i++ {
		a, b := &r.nodes[i-1], &r.nodes[i]
		part, away := nearest(v, a.at, b.at)
		if away < best {
			best, y = away, a.light+part*(b.light-a.light)
		}
	}
	if len(r.seen) >= remembered {
		clear(r.seen)
	}
	r.seen[codes] = float32(y)
	return float32(y)
}

// nearest returns how far along the line from a to b (0 to 1) the point nearest
// to v is, and the square of their distance.
func nearest(v, a, b [3]float64) (part, away float64) {
	var along, length float64
	for i := range v {
		along += (v[i] - a[i]) * (b[i] - a[i])
		length += (b[i] - a[i]) * (b[i] - a[i])
	}
	if length > 0 {
		part = min(max(along/length, 0), 1)
	}
	for i := range v {
		d := v[i] - a[i] - part*(b[i]-a[i])
		away += d * d
	}
	return part, away
}
