package darkroom

import (
	"math"
	"math/rand/v2"

	"actinic/process/density"
)

// With returns the setup with its film printed by p: Expose and Contact take the
// film's colours as p lays down its inks, and the ink ramp is the neutral one,
// from clear to 0, 0, 0, as far as Along does not say otherwise. Where p's ramp
// turns back, so does the setup's, and InkFor finds one of several inks.
func (s *Setup) With(p *Printer) *Setup {
	with := *s
	with.printer = p
	return with.Along(func(percent float64) [3]float64 {
		v := 255 - 2.55*percent
		return [3]float64{max(v, 0), max(v, 0), max(v, 0)}
	})
}

// Along returns the setup with another ink ramp: path gives the printer RGB at a
// film ink of 0 to 100 per cent. It panics without a printer.
func (s *Setup) Along(path func(percent float64) [3]float64) *Setup {
	if s.printer == nil {
		panic("darkroom: a setup without a printer has no path")
	}
	along := *s
	along.path = path
	along.inkRange = float64(s.printer.UVDensity(path(100)))
	return &along
}

// Printer returns the printer of the setup, or nil.
func (s *Setup) Printer() *Printer { return s.printer }

// ColourLightness returns the L* of a faultless print under printer RGB, at the
// exposure that clear film has by definition. It panics without a printer.
func (s *Setup) ColourLightness(rgb [3]float64) density.Lightness {
	return s.TabletLightness(s.printer.UVDensity(rgb))
}

// ColourReadings reads a print of patches of printer RGB, in their order. IDs
// run from A1, 26 patches a letter. It panics without a printer.
func (s *Setup) ColourReadings(rgb [][3]float64, p Print, n Noise, rng *rand.Rand) []Reading {
	const row = 26
	out := make([]Reading, len(rgb))
	for i, c := range rgb {
		out[i] = s.read(p, s.printer.UVDensity(c), n, rng)
		out[i].ID = patchID(i/row, i%row)
		out[i].Ink, out[i].Tablet = math.NaN(), density.Density(math.NaN())
		out[i].RGB = c
	}
	return out
}
