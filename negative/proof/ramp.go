package proof

import (
	"math"
	"sync"
)

// filmLight turns a film's rows into the light of the print under it. It is
// safe for concurrent use: each goroutine borrows what it met lately.
type filmLight struct {
	ramp *ramp
	grey []float32 // of each code of a grey film; nil for colour
	met  sync.Pool
}

func newFilmLight(c Curve, channels int) *filmLight {
	l := &filmLight{ramp: rampOf(c)}
	if channels == 1 {
		l.grey = l.ramp.greyLight()
	}
	l.met.New = func() any { return new(recent) }
	return l
}

// Row writes the luminance of the print for each pixel of a film row.
func (l *filmLight) Row(dst []float32, src []uint16) {
	if l.grey != nil {
		for i, v := range src[:len(dst)] {
			dst[i] = l.grey[v]
		}
		return
	}
	met := l.met.Get().(*recent)
	defer l.met.Put(met)
	for i := range dst {
		dst[i] = met.light([3]uint16(src[3*i:3*i+3]), l.ramp)
	}
}

// recent remembers the light of colours that were met, by a hash of the codes.
type recent [recentCodes]meeting

type meeting struct {
	codes [3]uint16
	known bool
	light float32
}

const recentCodes = 1 << 15 // fits a core's own cache

func (m *recent) light(codes [3]uint16, r *ramp) float32 {
	hash := uint32(codes[0])*0x9E3779B1 ^ uint32(codes[1])*0x85EBCA6B ^ uint32(codes[2])*0xC2B2AE35
	at := &m[hash%recentCodes]
	if !at.known || at.codes != codes {
		*at = meeting{codes, true, r.light(codes)}
	}
	return at.light
}

// ramp is the way through printer RGB that film ink takes from clear to full,
// and the light of the print along it.
type ramp struct {
	prints []float64 // Y of the print, at equal steps of film ink
	legs   []leg     // the way, straight piece by straight piece
}

// leg is a straight piece of the way: steps equal steps of ink, from step first.
type leg struct {
	from, to     [3]float64 // printer RGB
	first, steps int
}

const (
	rampSteps = 1024
	// straight is how far a step may differ from the one before, in parts of the
	// printer's range, and still be of one straight piece: rounding.
	straight = 1e-9
)

// rampOf follows the ink ramp.
func rampOf(c Curve) *ramp {
	r := &ramp{}
	var last, before [3]float64
	for i := range rampSteps + 1 {
		ink := float64(i) * 100 / rampSteps
		r.prints = append(r.prints, float64(c.PrintLightness(ink).Reflectance()))
		at := c.Device(ink)
		if n := len(r.legs); i > 1 && goesOn(before, last, at) {
			r.legs[n-1].to = at
			r.legs[n-1].steps++
		} else if i > 0 {
			r.legs = append(r.legs, leg{last, at, i - 1, 1})
		}
		before, last = last, at
	}
	return r
}

// goesOn reports whether the step from b to c is that from a to b again.
func goesOn(a, b, c [3]float64) bool {
	for i := range a {
		if math.Abs(c[i]-b[i]-(b[i]-a[i])) > straight {
			return false
		}
	}
	return true
}

// light returns the luminance of the print, 0 to 1, under film with the given
// printer codes: at the nearest place on the ramp, so that codes beside it
// (8-bit dither) are placed too.
func (r *ramp) light(codes [3]uint16) float32 {
	var v [3]float64
	for i, c := range codes {
		v[i] = float64(c) / 65535
	}
	best, step := math.Inf(1), 0.0
	for i := range r.legs {
		l := &r.legs[i]
		part, away := nearest(v, l.from, l.to)
		if away < best {
			best, step = away, float64(l.first)+float64(part*float64(l.steps))
		}
	}
	return float32(r.at(step))
}

// at is the light between two steps.
func (r *ramp) at(step float64) float64 {
	i := min(int(step), rampSteps-1)
	return r.prints[i] + float64((step-float64(i))*(r.prints[i+1]-r.prints[i]))
}

// greyLight tabulates the light of every code of a grey film.
func (r *ramp) greyLight() []float32 {
	table := make([]float32, 1<<16)
	for code := range table {
		c := uint16(code)
		table[code] = r.light([3]uint16{c, c, c})
	}
	return table
}

// nearest returns how far along the line from a to b (0 to 1) the point nearest
// to v is, and the square of their distance.
func nearest(v, a, b [3]float64) (part, away float64) {
	var along, length float64
	for i := range v {
		along += float64((v[i] - a[i]) * (b[i] - a[i]))
		length += float64((b[i] - a[i]) * (b[i] - a[i]))
	}
	if length > 0 {
		part = min(max(along/length, 0), 1)
	}
	for i := range v {
		d := v[i] - a[i] - float64(part*(b[i]-a[i]))
		away += float64(d * d)
	}
	return part, away
}
