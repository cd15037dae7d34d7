package nextchart

import (
	"fmt"
	"math"
)

// Band is how far the print's tones may lie off, 95 % of them, in L*.
type Band struct {
	Average float64 `json:"average_lstar"` // root mean square over picture tones
	Largest float64 `json:"largest_lstar"`
}

// coverage95 is the normal quantile of a 95 % band (GUM, JCGM 100:2008, G.3).
const coverage95 = 1.96

// band is that of a design; common is what all tones share beyond it, L*.
func (d *design) band(common float64) Band {
	wide := func(variance float64) float64 {
		return coverage95 * math.Sqrt(math.Max(0, variance)+float64(common*common))
	}
	return Band{wide(d.variance()), wide(d.largest())}
}

// When a further chart is not worth a sheet of film: adjacent flat patches are
// told apart from 0.3 to 0.5 L* on (from memory), so that less is not seen; and a
// band that is narrower by less than a tenth is not worth the day (a working value
// of ours).
const (
	unseenAverage = 0.3
	unseenLargest = 0.5
	leastGain     = 0.1
)

// Verdict says whether a further chart is worth a sheet of film, and why.
type Verdict struct {
	Before Band   `json:"band_before"`
	After  Band   `json:"band_after"`
	Worth  bool   `json:"worth"`
	Why    string `json:"why"`
}

func verdict(before, after Band) Verdict {
	v := Verdict{Before: before, After: after}
	narrower := 1 - after.Average/before.Average
	switch {
	case before.Average <= unseenAverage && before.Largest <= unseenLargest:
		v.Why = fmt.Sprintf("the tones are known to +- %.2f L* already, and the eye tells no less than 0.3 apart", before.Average)
	case !(narrower >= leastGain):
		v.Why = fmt.Sprintf("it narrows the band by %.0f %%, less than a tenth", 100*math.Max(0, narrower))
	default:
		v.Worth = true
		v.Why = fmt.Sprintf("it narrows the band by %.0f %%", 100*narrower)
	}
	return v
}
