package tablet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"actinic/process/density"
	"actinic/process/fault"
	"actinic/process/measure/delimited"
)

// Hint shows the notation, for messages about it.
const Hint = "write count x increment + density of step 1, for example 21x0.15+0.05"

// spaces of any kind may stand round the numbers; the sign is x, X or the
// multiplication sign.
var notation = regexp.MustCompile(`^\s*([0-9]{1,9})\s*[xX×]\s*([0-9.,eE+-]+?)\s*\+\s*([0-9.,]+)\s*$`)

// Parse returns the nominal tablet that text names: the count of steps, the
// increment of density, and the density of step 1, as in 21x0.15+0.05. A decimal
// comma is taken. Steps are named "1" to the count; the tablet is not calibrated.
//
// The error is a *fault.Error unless there are 2 to 200 steps, the increment is
// above 0, and every density lies from 0 to 6.
func Parse(text string) (Tablet, error) {
	m := notation.FindStringSubmatch(text)
	if m == nil {
		return Tablet{}, refuse(text, "is no step tablet")
	}
	count, err1 := strconv.Atoi(m[1])
	increment, err2 := delimited.ParseNumber(m[2])
	first, err3 := delimited.ParseNumber(m[3])
	if err1 != nil || err2 != nil || err3 != nil {
		return Tablet{}, refuse(text, "is no step tablet")
	}
	return nominal(text, count, increment, first)
}

func nominal(text string, count int, increment, first float64) (Tablet, error) {
	switch {
	case count < MinSteps || count > MaxSteps:
		return Tablet{}, refuse(text, fmt.Sprintf("has %d steps, expected %d to %d", count, MinSteps, MaxSteps))
	case increment <= 0:
		return Tablet{}, refuse(text, "has an increment that is not above 0")
	}
	t := Tablet{Name: strings.Join(strings.Fields(text), "")}
	for i := range count {
		d := stepDensity(i, increment, first)
		if d > MaxDensity {
			return Tablet{}, refuse(text, fmt.Sprintf("reaches density %.4g at step %d, expected at most %g", float64(d), i+1, MaxDensity))
		}
		t.Steps = append(t.Steps, Step{Name: strconv.Itoa(i + 1), Density: d, SD: UncalibratedSD(d)})
	}
	if t.Steps[0].Density == t.Steps[1].Density {
		return Tablet{}, refuse(text, "has an increment below 0.000001")
	}
	return t, nil
}

// stepDensity rounds to a millionth, so that 0.05 + 3 x 0.15 is the number 0.5
// and the same on processors that fuse the product and the sum.
func stepDensity(i int, increment, first float64) density.Density {
	d := first + float64(float64(i)*increment)
	return density.Density(math.Round(d*1e6) / 1e6)
}

func refuse(text, what string) error {
	return fault.New("", "", fmt.Sprintf("%q %s", text, what), Hint)
}
