package control

import (
	"fmt"
	"math"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/fault"
)

// Eye is what the strip says to an eye: from which patch on it merges with black.
type Eye struct {
	Patch          int      `json:"patch"` // the lightest that cannot be told from black
	Aim            int      `json:"aim_patch"`
	ExposureOffset Value    `json:"exposure_offset"`
	TimeFactor     Value    `json:"time_factor"`
	NewTime        *Value   `json:"new_time"` // null where the print's is not known, and where it is right
	TimeUnit       string   `json:"time_unit"`
	Answer         Answer   `json:"answer"`
	Warnings       []string `json:"warnings"`
}

// Flat patches that touch are told apart from 0.3 to 0.5 L* on smooth paper, from
// 1 on any: 0.7 with a doubt of 0.2 on coated paper (common practice, from memory;
// the strip is made for it). A print's exposure is off by half a stop, one standard
// deviation, before anything is seen (a working value of ours).
const (
	seenStep   = 0.7
	seenStepSD = 0.2
	eyeSD      = 0.15
)

// ReadEye says what to do about exposure when patch is the lightest of the strip
// that cannot be told from black. The strip's patches run down to tone 0 in order;
// the aim is that the one before black merges with it. It fails with *fault.Error
// where the calibration has no characteristic curve, or patch is none of those.
func ReadEye(patch int, c *calibration.Calibration, strip []StripPatch, r Record) (*Eye, error) {
	answer, missing := newResponse(c)
	if answer == nil {
		return nil, fault.New("", "", missing, "read a step tablet on a print and make the calibration with --tablet, or measure the strip")
	}
	if c.Ink.Falling {
		return nil, fault.New("", "", "the process prints lighter with exposure, where the strip's black end tells nothing of it", "measure the strip")
	}
	curve, err := c.InkCurve()
	if err != nil {
		return nil, err
	}
	dark := blackEnd(strip)
	if patch < 1 || patch > len(dark) {
		return nil, fault.New("", "", fmt.Sprintf("patch %d: expected one of those that go down to black, 1 to %d", patch, len(dark)),
			"give the lightest patch that cannot be told from black")
	}
	var uv []float64
	for _, p := range dark {
		uv = append(uv, answer.uv.Held(curve.Ink(p.Tone)))
	}
	e := &Eye{Patch: patch, Aim: len(dark) - 1, ExposureOffset: seenOffset(answer, uv, patch), Warnings: mismatches(&r, c)}
	factor := math.Pow(10, -e.ExposureOffset.Value)
	e.TimeFactor = Value{Value: factor, SD: factor * math.Ln10 * e.ExposureOffset.SD}
	e.Answer = e.answer()
	if r.Exposure != nil && e.Answer.Kind == Time {
		e.NewTime, e.TimeUnit = &Value{Value: *r.Exposure * factor, SD: *r.Exposure * e.TimeFactor.SD}, r.ExposureUnit
	}
	return e, nil
}

// blackEnd is the strip's patches down to black.
func blackEnd(strip []StripPatch) []StripPatch {
	for i, p := range strip {
		if p.Tone == 0 {
			return strip[:i+1]
		}
	}
	return nil
}

// seenOffset is the exposure offset at which the patches merge as seen: over a grid
// of offsets, how likely an eye sees just that, weighed by how likely the offset is.
func seenOffset(answer *response, uv []float64, patch int) Value {
	const steps, reach = 400, 0.6
	black := uv[len(uv)-1]
	apart := func(i int, offset float64) float64 { // chance that patch i is told from black
		if i == len(uv)-1 {
			return 0
		}
		step := math.Abs(lightnessAt(answer, uv[i], offset) - lightnessAt(answer, black, offset))
		return normalShare((step - seenStep) / seenStepSD)
	}
	var sum, first, second float64
	for i := range steps + 1 {
		x := reach * (2*float64(i)/steps - 1)
		w := math.Exp(-x*x/(2*eyeSD*eyeSD)) * (1 - apart(patch-1, x))
		if patch > 1 {
			w *= apart(patch-2, x)
		}
		sum, first, second = sum+w, first+w*x, second+w*x*x
	}
	if !(sum > 0) {
		return Value{Value: 0, SD: eyeSD}
	}
	m := first / sum
	return Value{Value: m, SD: math.Sqrt(math.Max(0, second/sum-m*m))}
}

func lightnessAt(answer *response, uv, offset float64) float64 {
	d, _ := answer.density(offset - uv)
	return float64(density.Density(d).Lightness())
}

// normalShare is the standard normal distribution function.
func normalShare(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

func (e *Eye) answer() Answer {
	by := e.TimeFactor.SD
	switch {
	case e.Patch == e.Aim:
		return Answer{Kind: Nothing, Text: fmt.Sprintf("nothing to do: %d and %d merge, as they should", e.Aim, e.Aim+1)}
	case e.Patch > e.Aim:
		return Answer{Kind: Time, Text: fmt.Sprintf("time x%.2f +- %.2f: black is not reached, %d is still told from %d", e.TimeFactor.Value, by, e.Aim, e.Aim+1)}
	}
	return Answer{Kind: Time, Text: fmt.Sprintf("time x%.2f +- %.2f: too much exposure, %d merges with black already", e.TimeFactor.Value, by, e.Patch)}
}
