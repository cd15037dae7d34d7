package calibration

import (
	"math"

	"actinic/process/measure"
)

// Where the most exposed steps of a tablet turn back, a colour that prints as dark as
// they do may stop as much as the match says, or much less. Such readings are put
// aside: of them it is only known that the colour stops no more than a certain UV
// density.

// turnedSlack is how far on the light side of the turned steps a reading is put
// aside too, in L*: its noise (a working value of ours).
const turnedSlack = 2.0

// turnedTone returns the tone from which on, towards the exposed end, readings of a
// print may be either. It is in L*.
func turnedTone(t *measure.Table, r Reversal, falling bool) float64 {
	most := math.Inf(1)
	for _, v := range t.Readings {
		most = math.Min(most, exposedTone(v, falling))
	}
	by := r.By
	if t.Unit == measure.InDensity {
		for _, v := range t.Readings {
			if exposedTone(v, falling) == most {
				by = math.Abs(offLightness(v.Density(), by))
			}
		}
	}
	return most + by + turnedSlack
}

// exposedTone is the L* of a reading, turned so that it falls with exposure.
func exposedTone(r measure.Reading, falling bool) float64 {
	if falling {
		return -float64(r.Lightness())
	}
	return float64(r.Lightness())
}

// aside is a reading that was put aside.
type aside struct {
	id    string
	sheet int
}

// putAside says whether a reading may lie on either side of a turn.
func (f *colourFit) putAside(sheet int, r measure.Reading) bool {
	s := &f.sheets[sheet]
	return s.turns && exposedTone(r, f.options.Falling) <= s.turnedTone
}

// mostOf is the largest UV density that a colour put aside may have: where the
// sheet's curve comes to the turned steps' tone.
func (f *colourFit) mostOf(v *view, m *matched) float64 {
	most := math.NaN()
	for _, a := range m.aside {
		s, c := &f.sheets[a.sheet], v.curves[a.sheet]
		for uv := f.low; uv <= f.high; uv += matchStep {
			tone, _ := c.tone(uv, measure.InLightness)
			if f.options.Falling {
				tone = -tone
			}
			if tone > s.turnedTone {
				most = math.Min(orInf(most), uv)
				break
			}
		}
	}
	return most
}

func orInf(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(1)
	}
	return v
}
