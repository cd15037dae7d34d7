package calibration

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"actinic/process/fault"
	"actinic/process/printer"
)

// Comparison holds spectral predictions against prints, over the samples of which
// both tell a number.
type Comparison struct {
	Compared int `json:"compared"`
	// Ratio is UV density by the print over that by the spectra; null where fewer
	// than two samples stop enough to tell.
	Ratio Optional `json:"ratio_print_to_spectra"`
	// RMS is the root mean square difference; RMSAfter what is left of it with
	// predictions times Ratio, null as that.
	RMS       *float64 `json:"rms_difference"`
	RMSAfter  *float64 `json:"rms_difference_after_ratio"`
	Within    int      `json:"within_other_lights"` // samples whose print lies between Low and High, doubt counted
	Unmatched []string `json:"unmatched_samples"`   // samples that no print shows
}

// enoughToCompare is the UV density that a sample must stop to tell a ratio: below
// it the noise of a print is a tenth of it and more (a working value of ours).
const enoughToCompare = 0.15

// Compare holds the predictions against the UV densities that prints tell. A
// sample is named as a patch is, or by its code values: "255,200,0". It fails with
// a *fault.Error where no name fits; file is that of the samples.
func (s *Spectral) Compare(colours []MeasuredColour, file string) error {
	c := &Comparison{Unmatched: []string{}}
	for i := range s.Samples {
		p := &s.Samples[i]
		k := slices.IndexFunc(colours, func(m MeasuredColour) bool { return m.isCalled(p.Sample) })
		if k < 0 {
			c.Unmatched = append(c.Unmatched, p.Sample)
			continue
		}
		p.hold(colours[k])
	}
	if len(c.Unmatched) == len(s.Samples) {
		return fault.New(file, "", fmt.Sprintf("no sample is named as a patch of the print is: found %s", cut(s.Samples[0].Sample)),
			`name columns by patch, as C7, or by code values in quotes, as "255,200,0"`)
	}
	c.sum(s.Samples)
	s.Comparison = c
	return nil
}

// isCalled reports whether a sample's name means the colour.
func (m MeasuredColour) isCalled(name string) bool {
	name = strings.TrimSpace(name)
	if slices.ContainsFunc(m.Patches, func(id string) bool { return strings.EqualFold(id, name) }) {
		return true
	}
	rgb, ok := codeValues(name)
	return ok && rgb == m.RGB
}

// codeValues reads "255,200,0", or the same with spaces or semicolons.
func codeValues(name string) (printer.RGB, bool) {
	parts := strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune(",; ", r) })
	var rgb printer.RGB
	if len(parts) != len(rgb) {
		return rgb, false
	}
	for i, part := range parts {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil || !(v >= 0 && v <= 255) {
			return rgb, false
		}
		rgb[i] = v
	}
	return rgb, true
}

// hold puts what prints tell of a colour beside its prediction.
func (p *Predicted) hold(m MeasuredColour) {
	p.AtLeast, p.AtMost = finiteNumber(m.AtLeast), finiteNumber(m.AtMost)
	if !m.Known() {
		return
	}
	p.Print = &Value{m.UVDensity, m.SD}
	if p.UVDensity != nil {
		p.Difference = &Value{m.UVDensity - *p.UVDensity, m.SD}
	}
}

// sum fills the figures over all samples.
func (c *Comparison) sum(samples []Predicted) {
	var square, xy, xx float64
	var strong []Predicted
	for _, p := range samples {
		if p.Difference == nil {
			continue
		}
		c.Compared++
		square += p.Difference.Value * p.Difference.Value
		if p.within() {
			c.Within++
		}
		if *p.UVDensity >= enoughToCompare {
			strong = append(strong, p)
			xy += *p.UVDensity * p.Print.Value
			xx += *p.UVDensity * *p.UVDensity
		}
	}
	if c.Compared > 0 {
		rms := math.Sqrt(square / float64(c.Compared))
		c.RMS = &rms
	}
	if len(strong) >= 2 {
		c.scale(strong, xy/xx, xx)
	}
}

// scale fills the ratio, its doubt from the scatter about it (least squares
// through zero), and what is left.
func (c *Comparison) scale(strong []Predicted, ratio, xx float64) {
	left := 0.0
	for _, p := range strong {
		d := p.Print.Value - float64(ratio**p.UVDensity)
		left += d * d
	}
	n := float64(len(strong))
	rms := math.Sqrt(left / n)
	c.RMSAfter = &rms
	c.Ratio = &Value{ratio, math.Sqrt(left / (n - 1) / xx)}
}

// within reports whether the print's value may lie between Low and High.
func (p Predicted) within() bool {
	slack := 2 * p.Print.SD
	return (p.Low == nil || p.Print.Value >= *p.Low-slack) && (p.High == nil || p.Print.Value <= *p.High+slack)
}
