package darkroom

import (
	"math"
	"math/rand/v2"
)

// driver turns printer RGB into amounts of ink.
type driver struct {
	curves     [3]ramp // from what a channel takes away to cyan, magenta, yellow
	blackFrom  float64 // of the grey in a colour: where black ink sets in
	blackMost  float64 // black ink at full grey
	blackBend  float64
	undercolor float64 // colour taken out for black put in
	limit      float64 // total of ink
	wobble     [3]wobble
	handover   [inkCount]handover // by the light ink
	lightInks  bool
	wholeCodes bool
}

func newDriver(rng *rand.Rand, o PrinterOptions) *driver {
	d := &driver{lightInks: o.LightInks, wholeCodes: o.WholeCodes}
	for i := range d.curves {
		d.curves[i] = smoothRamp(rng)
		d.wobble[i] = newWobble(rng)
	}
	d.blackFrom = between(rng, 0.2, 0.65)
	d.blackMost = between(rng, 0.6, 1)
	d.blackBend = between(rng, 1.2, 2)
	d.undercolor = between(rng, 0.4, 0.85)
	d.limit = between(rng, 1.7, 2.6)
	for i := lightCyan; i <= grey; i++ {
		d.handover[i] = newHandover(rng, o.Abrupt)
	}
	return d
}

// inks returns what the driver lays down for printer RGB, 0 to 255.
func (d *driver) inks(rgb [3]float64) amounts {
	if d.wholeCodes {
		for i := range rgb {
			rgb[i] = math.Round(rgb[i])
		}
	}
	var a amounts
	for i, v := range rgb {
		a[cyan+i] = d.curves[i](1 - v/255)
	}
	for i := range rgb {
		a[cyan+i] *= 1 + d.wobble[i].at(rgb)
	}
	d.generateBlack(&a)
	if d.lightInks {
		for i, dark := range darkOf {
			light := lightCyan + i
			a[light], a[dark] = d.handover[light].split(a[dark])
		}
	}
	d.limitTotal(&a)
	return a
}

// generateBlack puts black ink for part of the grey that three colours make.
func (d *driver) generateBlack(a *amounts) {
	g := min(a[cyan], a[magenta], a[yellow])
	if g <= d.blackFrom {
		return
	}
	a[black] = d.blackMost * math.Pow((g-d.blackFrom)/(1-d.blackFrom), d.blackBend)
	for i := cyan; i <= yellow; i++ {
		a[i] -= d.undercolor * min(a[black], g)
	}
}

// limitTotal holds the total of ink softly below the limit: all inks give way
// alike. Here a printer reverses, because one more ink takes away from those
// that stop more.
func (d *driver) limitTotal(a *amounts) {
	const firmness = 8
	over := a.total() / d.limit
	give := math.Pow(1+math.Pow(over, firmness), -1.0/firmness)
	for i := range a {
		a[i] *= give
	}
}

// handover is how one light ink gives way to its dark one.
type handover struct{ reach, from, width float64 }

func newHandover(rng *rand.Rand, abrupt bool) handover {
	h := handover{reach: between(rng, 0.28, 0.42)}
	h.from = h.reach * between(rng, 0.6, 0.95)
	h.width = between(rng, 0.25, 0.5)
	if abrupt {
		h.width = between(rng, 0.03, 0.08)
	}
	return h
}

// split returns the light and the dark ink for an amount of dark ink.
func (h handover) split(amount float64) (light, dark float64) {
	t := min(max((amount-h.from)/h.width, 0), 1)
	over := t * t * (3 - 2*t)
	return min((1-over)*amount/h.reach, 1), over * amount
}

// wobble is a driver's small irregularity, a share of the amount of an ink.
type wobble struct {
	along [3][3]float64 // of each wave along each channel, radians a code value
	phase [3]float64
	size  float64
}

func newWobble(rng *rand.Rand) wobble {
	w := wobble{size: between(rng, 0.004, 0.012)}
	for i := range w.along {
		for j := range w.along[i] {
			w.along[i][j] = between(rng, -1.3, 1.3) * 2 * math.Pi / 255
		}
		w.phase[i] = between(rng, 0, 2*math.Pi)
	}
	return w
}

func (w *wobble) at(rgb [3]float64) float64 {
	sum := 0.0
	for i, v := range w.along {
		sum += math.Sin(float64(v[0]*rgb[0]) + float64(v[1]*rgb[1]) + float64(v[2]*rgb[2]) + w.phase[i])
	}
	return w.size * sum
}
