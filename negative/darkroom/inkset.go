package darkroom

import (
	"math"
	"math/rand/v2"
)

// The inks of a virtual printer. The light ones are there or not.
const (
	cyan = iota
	magenta
	yellow
	black
	lightCyan
	lightMagenta
	grey
	inkCount
)

// amounts is how much of each ink is laid down, 1 being what the driver gives
// for a full channel; more of one ink is always more drops.
type amounts [inkCount]float64

func (a *amounts) total() float64 {
	sum := 0.0
	for _, v := range a {
		sum += v
	}
	return sum
}

// dyes is what the inks stop. A drop is a flat disc of dye; how many discs lie
// over a point is a matter of chance, and their densities add there. Drops also
// gather in clusters, so that the number of discs is a negative binomial one
// (Greenwood and Yule 1920, from memory) rather than Poisson's: some film stays
// thinly covered and lets light through.
type dyes struct {
	layers    [inkCount]float64 // discs over a point, on average, for an amount of 1
	strength  [inkCount]float64 // UV density of one disc
	spreading float64           // growth of a disc for each amount of ink around it
	clusters  float64           // 0 for none; variance over mean squared of the number of discs
}

// newDyes draws the inks' strengths: yellow stops most, magenta least, and
// black about as much as cyan or less than that. Working values of ours.
func newDyes(rng *rand.Rand) dyes {
	d := dyes{spreading: between(rng, 0, 0.15)}
	for i := range d.layers {
		d.layers[i] = between(rng, 1.6, 2.6)
	}
	d.strength[yellow] = between(rng, 0.5, 0.9)
	d.strength[cyan] = d.strength[yellow] * between(rng, 0.15, 0.45)
	d.strength[magenta] = d.strength[yellow] * between(rng, 0.08, 0.3)
	d.strength[black] = d.strength[yellow] * between(rng, 0.18, 0.55)
	return d
}

// lighten draws light inks. To the eye a full one stands for an amount reach of
// its dark ink; in the ultraviolet it stops 0.4 to 1.15 times what that does, so
// that UV density leaps, or turns back, where one gives way to the other.
func (d *dyes) lighten(rng *rand.Rand, reach [inkCount]float64) {
	for light, dark := range darkOf {
		i := lightCyan + light
		mismatch := math.Exp(between(rng, math.Log(0.4), math.Log(1.15)))
		stops := reach[i] * mismatch * d.share(dark, 1) * d.layers[dark] / d.layers[i]
		d.strength[i] = -math.Log10(1 - stops)
	}
}

// darkOf is the dark ink of each light one.
var darkOf = [...]int{cyan, magenta, black}

// share is the light that one disc of an ink stops when discs are grown.
func (d *dyes) share(ink int, grown float64) float64 {
	return 1 - math.Pow(10, -d.strength[ink]/grown)
}

// stopping is the mean number of discs over a point, each weighed by the light
// that it stops. UV density rises with it, whatever inks it comes from.
func (d *dyes) stopping(a *amounts) float64 {
	grown := 1 + float64(d.spreading*a.total())
	sum := 0.0
	for i, v := range a {
		if v > 0 {
			sum += float64(v * d.layers[i] * grown * d.share(i, grown))
		}
	}
	return sum
}

// density returns the UV density of a stopping.
func (d *dyes) density(stopping float64) float64 {
	if d.clusters == 0 {
		return stopping / math.Ln10
	}
	return math.Log1p(float64(d.clusters*stopping)) / math.Ln10 / d.clusters
}

// fit gives the drops their number, so that the stopping of the densest colour
// comes to UV density range; bend is the ratio of the slopes of density at clear
// film and there.
func (d *dyes) fit(densest, most, bend float64) {
	d.clusters = math.Log10(bend) / most
	needed := (bend - 1) / d.clusters
	for i := range d.layers {
		d.layers[i] *= needed / densest
	}
}
