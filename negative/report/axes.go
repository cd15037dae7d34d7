package report

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
)

// mostTicks is how many ticks an axis carries at most.
const mostTicks = 11

// scale gives an axis its ends and its ticks. Ends taken from the data leave a
// little room, and start at zero where that lies near.
func scale(axis *plot.Axis, wanted Axis) {
	if wanted.Min != wanted.Max {
		axis.Min, axis.Max = wanted.Min, wanted.Max
	} else {
		axis.Min, axis.Max = roomy(axis.Min, axis.Max)
	}
	step := tickStep((axis.Max - axis.Min) / mostTicks)
	axis.Tick.Marker = plot.ConstantTicks(ticks(axis.Min, axis.Max, step))
}

// roomy widens a range by a fortieth at each end.
func roomy(low, high float64) (from, to float64) {
	if high <= low {
		return low - 0.5, high + 0.5
	}
	room := (high - low) / 40
	if low >= 0 && low < high/4 {
		return 0, high + room
	}
	return low - room, high + room
}

// tickStep returns the smallest of 1, 2 or 5 times a power of ten that is not
// below least.
func tickStep(least float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= least*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// ticks returns labelled ticks at whole multiples of step. The decimals are
// those of the step, and below zero stands a real minus sign.
func ticks(low, high, step float64) []plot.Tick {
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	var out []plot.Tick
	first, last := math.Ceil(low/step-1e-9), math.Floor(high/step+1e-9)
	for i := first; i <= last; i++ {
		label := strconv.FormatFloat(i*step+0, 'f', decimals, 64)
		out = append(out, plot.Tick{Value: i * step, Label: strings.Replace(label, "-", "\u2212", 1)})
	}
	return out
}
