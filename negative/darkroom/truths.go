package darkroom

import "actinic/process/density"

// The points of a characteristic curve that the trade reads off it. Paper white
// is 0.04 above paper and the exposure scale ends at 90 % of net maximum
// density in the sense of ISO 6846:1992 (from memory); black at 97 % is this
// program's own definition.
const (
	aboveWhite   = 0.04
	scaleEnds    = 0.90
	blackReached = 0.97
)

// Seed returns the seed that the setup was made from.
func (s *Setup) Seed() uint64 { return s.seed }

// Family returns the family of the paper.
func (s *Setup) Family() Family { return s.family }

// RampKind returns the kind of the ink ramp.
func (s *Setup) RampKind() RampKind { return s.kind }

// PaperDensity returns the print density of the bare paper.
func (s *Setup) PaperDensity() density.Density { return density.Density(s.paper) }

// MaximumDensity returns the print density that no exposure passes.
func (s *Setup) MaximumDensity() density.Density { return density.Density(s.maximum) }

// InkRange returns the UV density at full ink.
func (s *Setup) InkRange() density.Density { return density.Density(s.inkRange) }

// ExposureScale returns the log-exposure range from 0.04 above paper density
// to 90 % of net maximum density.
func (s *Setup) ExposureScale() density.LogExposure {
	return s.exposureFor(s.netShare(scaleEnds)) - s.White()
}

// NeededRange returns the log-exposure range from paper white, 0.04 above
// paper density, to black, 97 % of net maximum density.
func (s *Setup) NeededRange() density.LogExposure { return s.FirstBlack() - s.White() }

// FirstBlack returns the log exposure of black, 97 % of net maximum density:
// zero or up to 0.15 below zero, which is clear film.
func (s *Setup) FirstBlack() density.LogExposure { return s.exposureFor(s.black()) }

// White returns the log exposure of paper white, 0.04 above paper density.
func (s *Setup) White() density.LogExposure {
	return s.exposureFor(density.Density(s.paper + aboveWhite))
}

// LogExposureFor returns the log exposure that prints density d, by bisection.
// It panics unless d lies between paper and maximum density.
func (s *Setup) LogExposureFor(d density.Density) density.LogExposure {
	if !(float64(d) > s.paper && float64(d) < s.maximum) {
		panic("darkroom: density outside what the paper prints")
	}
	return s.exposureFor(d)
}

func (s *Setup) black() density.Density { return s.netShare(blackReached) }

func (s *Setup) netShare(share float64) density.Density {
	return density.Density(s.paper + share*(s.maximum-s.paper))
}

func (s *Setup) exposureFor(d density.Density) density.LogExposure {
	const farBelow, farAbove = -30, 30
	return density.LogExposure(bisect(farBelow, farAbove, func(x float64) bool {
		return s.PrintDensity(density.LogExposure(x)) < d
	}))
}

// bisect returns the place between low and high where below turns from true
// to false, to the last bit or nearly.
func bisect(low, high float64, below func(float64) bool) float64 {
	for range 80 {
		middle := low + (high-low)/2
		if below(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
