package darkroom

import (
	"math"
	"math/rand/v2"
	"sort"
)

// RampKind is the way UV density grows along an ink ramp.
type RampKind int

// The kinds of ink ramp.
const (
	Smooth RampKind = iota // bends a little
	Warped                 // bends much, or like an S, as a driver's tone curve does
	Kinked                 // breaks where the printer switches inks
)

// RampKinds lists every kind.
var RampKinds = []RampKind{Smooth, Warped, Kinked}

// String returns the kind's name in small letters.
func (k RampKind) String() string {
	return [...]string{"smooth", "warped", "kinked"}[k]
}

// A ramp is the share of the ink range, 0 to 1, that an ink fraction 0 to 1
// reaches. It is strictly increasing from 0 at 0 to 1 at 1.
type ramp func(u float64) float64

func newRamp(kind RampKind, rng *rand.Rand) ramp {
	switch kind {
	case Warped:
		return warpedRamp(rng)
	case Kinked:
		return kinkedRamp(rng)
	default:
		return smoothRamp(rng)
	}
}

func smoothRamp(rng *rand.Rand) ramp {
	switch rng.IntN(3) {
	case 0:
		return powerRamp(between(rng, 0.8, 1.45))
	case 1:
		return exponentialRamp(between(rng, -1.2, 1.2))
	default:
		return sRamp(between(rng, 1.2, 2.2), between(rng, 0.35, 0.65), 0.4)
	}
}

func warpedRamp(rng *rand.Rand) ramp {
	switch rng.IntN(4) {
	case 0:
		return powerRamp(between(rng, 1.7, 2.3))
	case 1:
		return powerRamp(between(rng, 0.5, 0.65))
	default:
		return sRamp(between(rng, 2.2, 4.0), between(rng, 0.3, 0.7), between(rng, 0.12, 0.3))
	}
}

// powerRamp is a power of the ink with a small offset, so that it starts
// neither flat nor upright.
func powerRamp(power float64) ramp {
	const offset = 0.06
	low, high := math.Pow(offset, power), math.Pow(1+offset, power)
	return func(u float64) float64 {
		return (math.Pow(u+offset, power) - low) / (high - low)
	}
}

func exponentialRamp(bend float64) ramp {
	if math.Abs(bend) < 1e-3 {
		return func(u float64) float64 { return u }
	}
	return func(u float64) float64 { return math.Expm1(bend*u) / math.Expm1(bend) }
}

// sRamp is steepest around centre; a share of straight line keeps its ends
// from going flat.
func sRamp(steepness, centre, straight float64) ramp {
	low := math.Tanh(-steepness * centre)
	high := math.Tanh(steepness * (1 - centre))
	return func(u float64) float64 {
		s := (math.Tanh(steepness*(u-centre)) - low) / (high - low)
		return straight*u + (1-straight)*s
	}
}

// kinkedRamp takes a smooth ramp and multiplies its slope by a factor of 0.35
// to 2.8 at one to three places, where other inks take over.
func kinkedRamp(rng *rand.Rand) ramp {
	base := smoothRamp(rng)
	at, slope := kinks(rng)
	sum := func(u float64) float64 {
		total := 0.0
		for i, s := range slope {
			if u <= at[i] {
				break
			}
			total += s * (base(math.Min(u, at[i+1])) - base(at[i]))
		}
		return total
	}
	full := sum(1)
	return func(u float64) float64 { return sum(u) / full }
}

// kinks returns the ends of the straight pieces, 0 and 1 among them, and the
// slope of each piece: one less than the ends.
func kinks(rng *rand.Rand) (at, slope []float64) {
	count := 1 + rng.IntN(3)
	at = []float64{0, 1}
	for range count {
		at = append(at, between(rng, 0.08, 0.92))
	}
	sort.Float64s(at)
	slope = []float64{1}
	for len(slope) <= count {
		factor := math.Exp(between(rng, math.Log(0.35), math.Log(2.8)))
		next := slope[len(slope)-1] * factor
		if next > 0.25 && next < 4 {
			slope = append(slope, next)
		}
	}
	return at, slope
}
