package calibration

import (
	"fmt"
	"math"

	"actinic/process/fault"
	"actinic/process/measure"
)

// The fewest levels that a fit makes sense of: below them a curve with a paper
// white, a slope and a black is guessed, not measured.
const (
	leastSteps  = 6
	leastLevels = 8
)

// checkPrints refuses readings that no fit should see.
func checkPrints(prints []Print, o *Options) error {
	if len(prints) == 0 {
		return fault.New("", "", "no readings were given", "give a ramp, a step tablet, or both")
	}
	for _, p := range prints {
		if p.Tablet == nil && p.Ramp == nil {
			return fault.New("", "", "a print without readings", "give each print a ramp, a step tablet, or both")
		}
		if err := checkTable(p.Tablet, measure.Tablet, leastSteps, "a characteristic curve", o); err != nil {
			return err
		}
		if err := checkTable(p.Ramp, measure.Ramp, leastLevels, "a tone curve", o); err != nil {
			return err
		}
	}
	return nil
}

func checkTable(t *measure.Table, kind measure.Kind, least int, what string, o *Options) error {
	if t == nil {
		return nil
	}
	if err := measure.CheckKind(t, kind); err != nil {
		return err
	}
	if err := measure.CheckCount(t, least, what+" has a toe, a slope and a shoulder to be told apart"); err != nil {
		return err
	}
	if err := measure.CheckSense(t, !o.Falling); err != nil {
		return err
	}
	return checkRange(t)
}

// checkRange refuses readings without tone: noise has no curve.
func checkRange(t *measure.Table) error {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range t.Readings {
		l := float64(r.Lightness())
		low, high = math.Min(low, l), math.Max(high, l)
	}
	if high-low < leastTones {
		return fault.New(t.File, "", fmt.Sprintf("the readings span %.1f L*, expected at least %d from paper to black", high-low, leastTones),
			"print the chart again with the exposure that reaches black through clear film")
	}
	return nil
}

// leastTones is the span of L* below which there is no print to speak of.
const leastTones = 10
