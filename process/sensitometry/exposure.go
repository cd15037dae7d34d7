package sensitometry

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"actinic/process/fault"
	"actinic/process/measure/delimited"
)

// Exposure is how much light a print was given: a time, or a count of the
// lamp's own units where an integrator measures them.
type Exposure struct {
	Amount float64 // in Unit, above 0
	Unit   string  // Seconds or LampUnits
}

// The units of an exposure.
const (
	Seconds   = "s"
	LampUnits = "lamp units"
)

// timeUnits are the suffixes of times, in seconds.
var timeUnits = []struct {
	suffix  string
	seconds float64
}{{"min", 60}, {"h", 3600}, {"m", 60}, {"s", 1}}

const exposureHint = "write a time as 90s, 8m, 8.5min or 1h, or a plain number of lamp units"

// MostExposure bounds what is taken for an exposure: 30 years in seconds.
const MostExposure = 1e9

// ParseExposure reads an exposure: a number with the unit s, m, min or h is a
// time, a plain number lamp units. A decimal comma is taken. The error is a
// *fault.Error unless the amount is above 0.
func ParseExposure(text string) (Exposure, error) {
	number, x, factor := strings.ToLower(strings.TrimSpace(text)), Exposure{Unit: LampUnits}, 1.0
	for _, u := range timeUnits {
		if rest, ok := strings.CutSuffix(number, u.suffix); ok {
			number, x.Unit, factor = strings.TrimSpace(rest), Seconds, u.seconds
			break
		}
	}
	amount, err := delimited.ParseNumber(number)
	if err != nil {
		return Exposure{}, fault.New("", "", fmt.Sprintf("%q is no exposure", text), exposureHint)
	}
	x.Amount = amount * factor
	if !(x.Amount > 0 && x.Amount <= MostExposure) {
		return Exposure{}, fault.New("", "", fmt.Sprintf("an exposure of %q: expected above 0", text), exposureHint)
	}
	return x, nil
}

// Times returns the exposure multiplied by factor.
func (x Exposure) Times(factor float64) Exposure {
	return Exposure{x.Amount * factor, x.Unit}
}

// String returns "8 min 20 s", "45 s", "1 h 30 min" or "120 lamp units".
func (x Exposure) String() string { return x.text(x.Amount * 1e-3) }

// WithDoubt returns the exposure rounded to what its standard uncertainty, in
// the same unit, makes of it: "8 min +- 35 s".
func (x Exposure) WithDoubt(sd float64) string {
	if !(sd > 0) {
		return x.String()
	}
	doubt := Exposure{roundTo(sd, coarsest(sd/5)), x.Unit}
	return x.text(sd/2) + " +- " + doubt.text(sd/5)
}

// RoundedTo returns the exposure rounded to what a standard uncertainty, in the
// same unit, makes of it.
func (x Exposure) RoundedTo(sd float64) Exposure {
	return Exposure{roundTo(x.Amount, coarsest(sd/2)), x.Unit}
}

// text returns the exposure in steps no coarser than grain.
func (x Exposure) text(grain float64) string {
	amount := roundTo(x.Amount, coarsest(grain))
	if x.Unit != Seconds {
		return strconv.FormatFloat(amount, 'f', -1, 64) + " " + x.Unit
	}
	return clock(amount)
}

// grains are the steps that people set a timer by, in seconds; they do for lamp
// units too.
var grains = []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600}

// coarsest returns the largest grain up to limit, the smallest where none is.
func coarsest(limit float64) float64 {
	best := grains[0]
	for _, g := range grains {
		if g <= limit {
			best = g
		}
	}
	return best
}

func roundTo(v, grain float64) float64 {
	steps := max(1, math.Round(v/grain))
	// A tenth is no binary number: round what the product left of it.
	return math.Round(float64(steps*grain)*10) / 10
}

// clock writes seconds as people read a timer.
func clock(seconds float64) string {
	if seconds < 60 {
		return strconv.FormatFloat(seconds, 'f', -1, 64) + " s"
	}
	whole := int64(math.Round(seconds))
	var parts []string
	for _, u := range []struct {
		name string
		n    int64
	}{{"h", whole / 3600}, {"min", whole / 60 % 60}, {"s", whole % 60}} {
		if u.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", u.n, u.name))
		}
	}
	return strings.Join(parts, " ")
}
