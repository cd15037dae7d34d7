package darkroom

import (
	"fmt"
	"math"
	"math/rand/v2"

	"actinic/process/density"
)

// Reading is one patch of a print as an instrument reads it.
type Reading struct {
	ID        string
	Ink       float64           // film ink in per cent; NaN for a tablet step and a colour
	Tablet    density.Density   // tablet density; NaN for an ink patch
	RGB       [3]float64        // printer RGB, 0 to 255, of a colour; else zero
	Lightness density.Lightness // as read, noise and faults included
	Spoiled   bool              // dust or a pinhole fell on it
}

// Density returns the reading as print density.
func (r Reading) Density() density.Density { return r.Lightness.Density() }

// Noise is what stands between a patch and its reading. The zero value reads
// without error.
type Noise struct {
	LightnessSD float64 // standard deviation of a reading, in L*
	DensitySD   float64 // standard deviation of a reading, in print density
	// SpoiledShare is the share of patches, 0 to 1, that dust makes lighter or
	// a pinhole darker, by a tenth to a half of the way to paper white or black.
	SpoiledShare float64
}

// RampReadings reads a print of an ink ramp: each level, in per cent 0 to 100,
// as many times as repeats says, in the order of levels. IDs run A1, B1, ...
// for the first repeat's levels 1, ...: a letter for the repeat, a number for
// the level. It returns len(levels) x repeats readings.
func (s *Setup) RampReadings(levels []float64, repeats int, p Print, n Noise, rng *rand.Rand) []Reading {
	out := make([]Reading, 0, len(levels)*repeats)
	for repeat := range repeats {
		for i, ink := range levels {
			r := s.read(p, s.UVDensity(ink), n, rng)
			r.ID = patchID(repeat, i)
			r.Ink, r.Tablet = ink, density.Density(math.NaN())
			out = append(out, r)
		}
	}
	return out
}

// TabletReadings reads a print of a step tablet that lay over clear film. The
// steps are transmission densities. It returns one reading a step, with IDs
// from 1.
func (s *Setup) TabletReadings(steps []density.Density, p Print, n Noise, rng *rand.Rand) []Reading {
	out := make([]Reading, len(steps))
	for i, d := range steps {
		out[i] = s.read(p, d, n, rng)
		out[i].ID = fmt.Sprint(i + 1)
		out[i].Ink, out[i].Tablet = math.NaN(), d
	}
	return out
}

// patchID is a letter, or two, for the repeat and a number for the level.
func patchID(repeat, level int) string {
	letters := string(rune('A' + repeat%26))
	if repeat >= 26 {
		letters = string(rune('A'+repeat/26-1)) + letters
	}
	return fmt.Sprintf("%s%d", letters, level+1)
}

// read prints one patch under a filter of density d and reads it.
func (s *Setup) read(p Print, d density.Density, n Noise, rng *rand.Rand) Reading {
	printed := s.printed(p, density.LogExposure(-d))
	spoiled := rng.Float64() < n.SpoiledShare
	if spoiled {
		printed = s.spoil(printed, rng)
	}
	printed += density.Density(n.DensitySD * rng.NormFloat64())
	l := float64(printed.Lightness()) + n.LightnessSD*rng.NormFloat64()
	return Reading{Lightness: density.Lightness(math.Max(l, 0)), Spoiled: spoiled}
}

// spoil moves a density part of the way to paper white or maximum black.
func (s *Setup) spoil(d density.Density, rng *rand.Rand) density.Density {
	goal := density.Density(s.paper)
	if rng.IntN(2) == 0 {
		goal = density.Density(s.maximum)
	}
	return d + density.Density(between(rng, 0.1, 0.5))*(goal-d)
}
