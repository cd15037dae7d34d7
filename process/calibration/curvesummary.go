package calibration

import (
	"crypto/sha256"
	"encoding/hex"
)

// CurveSummary is what a printmaker should know of a calibration at a glance.
// Without a step tablet the ranges are null.
type CurveSummary struct {
	InkRange    Optional `json:"ink_range"`
	NeededRange Optional `json:"needed_range"`
	// WhiteNeeds is the UV density that paper white needs at the exposure given:
	// more than NeededRange where that is longer than first black. Null for
	// positive-working processes, whose white is clear film.
	WhiteNeeds    Optional `json:"uv_density_for_white"`
	InkReaches    *bool    `json:"ink_reaches_white"` // the ink range is not below it
	ExposureScale Optional `json:"exposure_scale"`
	FirstBlack    Optional `json:"first_black"`
	Exposure      *float64 `json:"exposure"`
	Unit          string   `json:"exposure_unit"`

	Aim        string  `json:"aim"`
	BlackLstar float64 `json:"black_lstar"` // where picture black prints
	WhiteLstar float64 `json:"white_lstar"` // where picture white prints
	BlackInk   float64 `json:"black_ink"`   // film ink, %
	WhiteInk   float64 `json:"white_ink"`

	Readings int      `json:"readings"`
	Noise    *float64 `json:"noise_lstar"` // of one reading; null for readings in density
	// NoiseDensity is the noise of one reading in density; null for L*.
	NoiseDensity *float64 `json:"noise_density"`
	MiddleSD     float64  `json:"middle_tone_sd"`  // L*, of the calibration at tone 50
	LargestSD    float64  `json:"largest_tone_sd"` // L*, anywhere on the curve
	PrintSD      float64  `json:"middle_print_sd"` // L*, with print-to-print scatter

	Prints []PrintExposure `json:"prints"` // as in the file; one print says nothing

	Unevenness *Unevenness `json:"unevenness"` // as in the file

	Warnings []string `json:"warnings"` // what the fit has to say
	Cautions []string `json:"cautions"` // of the process
}

// Summary sums up c, a calibration built of this estimate, whose first
// processCautions cautions came with its process, the others from the fit.
func (e *Estimate) Summary(c *Calibration, processCautions int) CurveSummary {
	n := len(c.Curve.Tone)
	middle := n / 2
	s := CurveSummary{InkRange: c.Ink.Range, FirstBlack: c.Exposure.FirstBlack, Exposure: c.Exposure.Given, Unit: c.Exposure.Unit,
		Aim: c.Aim.Name, BlackLstar: c.Aim.BlackLstar, WhiteLstar: c.Aim.WhiteLstar,
		BlackInk: c.Curve.Ink[0], WhiteInk: c.Curve.Ink[n-1],
		Readings: c.Quality.Readings, Noise: c.Quality.NoiseLstar, NoiseDensity: c.Quality.NoiseDensity, Unevenness: c.Quality.Unevenness, Prints: c.Exposure.Prints,
		MiddleSD: c.Curve.ToneSD[middle], PrintSD: c.Curve.PrintSD[middle],
		Cautions: append([]string{}, c.Cautions[:processCautions]...),
		Warnings: append([]string{}, c.Cautions[processCautions:]...)}
	if k := c.Characteristic; k != nil {
		s.NeededRange, s.ExposureScale = k.NeededRange, k.ExposureScale
	}
	if e.HasTablet() && !e.fit.falling {
		s.compareInk(e.Sensitometry().Toe)
	}
	for _, sd := range c.Curve.ToneSD {
		s.LargestSD = max(s.LargestSD, sd)
	}
	return s
}

// compareInk holds the ink range against the log exposure of the first tone.
func (s *CurveSummary) compareInk(toe Value) {
	if s.InkRange == nil || !toe.Known() {
		return
	}
	s.WhiteNeeds = &Value{-toe.Value, toe.SD}
	reaches := s.InkRange.Value >= -toe.Value
	s.InkReaches = &reaches
}

// NewInput returns the entry of a file that a calibration used.
func NewInput(name string, content []byte) Input {
	sum := sha256.Sum256(content)
	return Input{baseName(name), hex.EncodeToString(sum[:])}
}
