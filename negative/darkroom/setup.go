package darkroom

import (
	"math"
	"math/rand/v2"

	"actinic/process/density"
)

// Family is the physics behind a paper's characteristic curve.
type Family int

// The families of papers.
const (
	Probit        Family = iota // cumulative normal over log exposure
	SoftCorners                 // straight line between a soft toe and a soft shoulder
	Photochemical               // a sensitiser used up by light behind its own image
)

// Families lists every family.
var Families = []Family{Probit, SoftCorners, Photochemical}

// String returns the family's name in small letters.
func (f Family) String() string {
	return [...]string{"probit", "soft corners", "photochemical"}[f]
}

// Setup is one printer, film, ink colour, paper and lamp with everything known
// about them. It does not change once made, so that goroutines may share it.
type Setup struct {
	seed     uint64
	family   Family
	kind     RampKind
	shape    shape
	ramp     ramp
	paper    float64 // print density of the bare paper
	maximum  float64 // print density that no exposure passes
	stretch  float64 // log exposure of one unit of the shape
	shift    float64 // unit of the shape at log exposure 0, through clear film
	inkRange float64 // UV density at full ink

	// With a printer, the ramp is the colours of a path through its RGB.
	printer *Printer
	path    func(percent float64) [3]float64
}

// NewSetup returns the setup that seed names within a family of papers and a
// kind of ink ramp.
//
// Paper density is 0.05 to 0.12, maximum density 1.1 to 1.9 and exposure scale
// 0.9 to 2.4, about what hand-coated silver, iron and platinum papers show.
// Clear film lies at first black or up to 0.15 over it. The ink range is 0.95
// to 1.6 times the needed range, so that a few inks are too weak.
func NewSetup(seed uint64, family Family, kind RampKind) *Setup {
	rng := Random(seed, uint64(family)*16+uint64(kind)+1)
	s := &Setup{seed: seed, family: family, kind: kind}
	s.paper = between(rng, 0.05, 0.12)
	s.maximum = between(rng, 1.1, 1.9)
	s.shape = newShape(family, rng, s.maximum-s.paper)
	s.scaleExposure(between(rng, 0.9, 2.4), between(rng, 0, 0.15))
	s.inkRange = float64(s.NeededRange()) * between(rng, 0.95, 1.6)
	s.ramp = newRamp(kind, rng)
	return s
}

// Random returns the random numbers of seed; stream keeps apart several uses
// of one seed. They are the same on every machine.
func Random(seed, stream uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, stream))
}

func newShape(family Family, rng *rand.Rand, net float64) shape {
	switch family {
	case SoftCorners:
		return newSoftCorners(rng)
	case Photochemical:
		return newPhotochemical(rng, net)
	default:
		return probit{}
	}
}

// scaleExposure gives the paper its exposure scale and puts clear film over,
// in log exposure, beyond first black.
func (s *Setup) scaleExposure(scale, over float64) {
	s.stretch, s.shift = 1, 0
	s.stretch = scale / float64(s.ExposureScale())
	s.shift = (float64(s.FirstBlack()) + over) / s.stretch
}

// fraction returns how far the paper goes from white to maximum black.
func (s *Setup) fraction(x density.LogExposure) float64 {
	return s.shape.fraction(float64(x)/s.stretch + s.shift)
}

// PrintDensity returns the print density at log exposure x; x is 0 through
// clear film.
func (s *Setup) PrintDensity(x density.LogExposure) density.Density {
	return density.Density(s.paper + (s.maximum-s.paper)*s.fraction(x))
}

// UVDensity returns the density of ink on film, net above clear film, as the
// paper sees it. Ink is in per cent, 0 to 100; it panics outside.
func (s *Setup) UVDensity(ink float64) density.Density {
	if !(ink >= 0 && ink <= 100) {
		panic("darkroom: ink outside 0 to 100 %")
	}
	if s.printer != nil {
		return s.printer.UVDensity(s.path(ink))
	}
	return density.Density(s.inkRange * s.ramp(ink/100))
}

// PrintLightness returns the L* of a faultless print under ink, in per cent 0
// to 100, at the exposure that clear film has by definition.
func (s *Setup) PrintLightness(ink float64) density.Lightness {
	return s.TabletLightness(s.UVDensity(ink))
}

// TabletLightness returns the L* of a faultless print under tablet density d
// that lies over clear film.
func (s *Setup) TabletLightness(d density.Density) density.Lightness {
	return s.TabletPrint(d).Lightness()
}

// TabletPrint returns the print density under tablet density d that lies over
// clear film.
func (s *Setup) TabletPrint(d density.Density) density.Density {
	return s.PrintDensity(density.LogExposure(-d))
}

// InkFor returns the ink in per cent that prints lightness l, by bisection,
// and false when no ink of this ramp does: l is darker than clear film or
// lighter than full ink prints.
func (s *Setup) InkFor(l density.Lightness) (ink float64, ok bool) {
	if l < s.PrintLightness(0) || l > s.PrintLightness(100) {
		return math.NaN(), false
	}
	return bisect(0, 100, func(ink float64) bool { return s.PrintLightness(ink) < l }), true
}
