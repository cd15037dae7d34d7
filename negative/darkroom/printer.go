package darkroom

import (
	"fmt"
	"math"

	"actinic/process/density"
)

// PrinterOptions are what is chosen of a printer rather than drawn from its seed.
type PrinterOptions struct {
	// Densest is the UV density of its densest colour; 0 stands for 2.4.
	Densest density.Density
	// LightInks adds light cyan, light magenta and grey, which print the light
	// tones and then give way to the dark inks.
	LightInks bool
	// Abrupt lets them give way within 8 to 20 code values, rather than softly.
	Abrupt bool
	// WholeCodes makes the driver round printer RGB to whole code values.
	WholeCodes bool
}

// Printer is a virtual inkjet printer: what its inks on film stop for any
// printer RGB. Clear film, 255, 255, 255, stops nothing.
//
// As a rule, more of a channel stops more. It does not where the ink limit takes
// strong ink away for weak, where black replaces stronger colours, and where a
// light ink stops more than the dark one that follows it. Magenta and black stop
// less than they look, so that many colours are denser than black.
//
// It does not change once made, so that goroutines may share it.
type Printer struct {
	seed    uint64
	options PrinterOptions
	driver  *driver
	dyes    dyes
	densest [3]float64
}

// NewPrinter returns the printer that seed names.
func NewPrinter(seed uint64, o PrinterOptions) *Printer {
	if o.Densest == 0 {
		o.Densest = 2.4
	}
	if !(o.Densest > 0 && o.Densest < most16*0.9) {
		panic(fmt.Sprintf("darkroom: UV density %v of the densest colour", o.Densest))
	}
	rng := Random(seed, 2401)
	p := &Printer{seed: seed, options: o}
	p.dyes = newDyes(rng)
	bend := between(rng, 1.2, 2.6)
	p.driver = newDriver(rng, o)
	if o.LightInks {
		var reach [inkCount]float64
		for i, h := range p.driver.handover {
			reach[i] = h.reach
		}
		p.dyes.lighten(Random(seed, 2402), reach)
	}
	most := p.findDensest()
	p.dyes.fit(most, float64(o.Densest), bend)
	return p
}

// PrinterFor returns a printer whose densest colour has 0.9 to 2 times the range
// that setup s needs; all of it is drawn from seed. Half of them have light inks,
// and half of those hand over abruptly.
func PrinterFor(s *Setup, seed uint64) *Printer {
	rng := Random(seed, 2403)
	return NewPrinter(seed, PrinterOptions{
		Densest:   density.Density(float64(s.NeededRange()) * between(rng, 0.9, 2)),
		LightInks: seed%2 == 1,
		Abrupt:    seed/2%2 == 1,
	})
}

// findDensest looks for the densest colour among 17 values a channel and returns
// its stopping.
func (p *Printer) findDensest() float64 {
	const steps = 16
	most := 0.0
	value := func(i int) float64 { return 255 * float64(i) / steps }
	for r := range steps + 1 {
		for g := range steps + 1 {
			for b := range steps + 1 {
				rgb := [3]float64{value(r), value(g), value(b)}
				a := p.driver.inks(rgb)
				if s := p.dyes.stopping(&a); s > most {
					most, p.densest = s, rgb
				}
			}
		}
	}
	return most
}

// Seed returns the seed that the printer was made from.
func (p *Printer) Seed() uint64 { return p.seed }

// Options returns what the printer was made with.
func (p *Printer) Options() PrinterOptions { return p.options }

// Densest returns the printer RGB of its densest colour, of 17 values a channel.
func (p *Printer) Densest() [3]float64 { return p.densest }

// UVDensity returns what printer RGB, each 0 to 255, stops, net above clear film.
// It panics outside that.
func (p *Printer) UVDensity(rgb [3]float64) density.Density {
	for _, v := range rgb {
		if !(v >= 0 && v <= 255) {
			panic(fmt.Sprintf("darkroom: printer RGB %v outside 0 to 255", rgb))
		}
	}
	a := p.driver.inks(rgb)
	return density.Density(p.dyes.density(p.dyes.stopping(&a)))
}

// most16 is the UV density of the largest 16-bit number where a film is kept as
// such: a pixel's density is rounded to 1/8192.
const most16 = 8.0

// pixelDensities turns pixels of a film into UV density, 65535 being most16.
// Colours come again and again on a film: it keeps those it met last.
type pixelDensities struct {
	printer *Printer
	colour  []uint64 // plus one, so that 0 is none
	coded   []uint16
}

const keptColours = 1 << 20

func newPixelDensities(p *Printer) *pixelDensities {
	return &pixelDensities{p, make([]uint64, keptColours), make([]uint16, keptColours)}
}

// of returns the coded UV density of a pixel of 1 or 3 channels.
func (d *pixelDensities) of(pixel []uint16) uint16 {
	r, g, b := pixel[0], pixel[len(pixel)/2], pixel[len(pixel)-1]
	key := uint64(r)<<32 | uint64(g)<<16 | uint64(b)
	slot := mix(key) % keptColours
	if d.colour[slot] != key+1 {
		code := func(v uint16) float64 { return float64(v) / 257 }
		uv := float64(d.printer.UVDensity([3]float64{code(r), code(g), code(b)}))
		d.colour[slot], d.coded[slot] = key+1, uint16(math.Round(min(uv/most16, 1)*65535))
	}
	return d.coded[slot]
}
