package control

import "math"

// Runs are the rules of textbooks about runs of points, with limits in standard
// deviations. They are not alarms here: together on four quantities they fire at
// every fourth check of a steady setup whose scatter is known from ten. They are
// remarked on where an alarm fired, since they say what kind of change it is.
//
// Sources: Western Electric, Statistical Quality Control Handbook, 1956 (zones);
// Nelson, Journal of Quality Technology 16, 1984 (trend).
type runRule struct {
	name  string
	fires func(deviations []float64) bool // of the newest point
}

// zones are the four rules of Western Electric.
var zones = []runRule{
	{"one beyond three times the scatter", func(d []float64) bool { return countBeyond(d, 1, 3) >= 1 }},
	{"two of three beyond twice the scatter, on one side", func(d []float64) bool { return countBeyond(d, 3, 2) >= 2 }},
	{"four of five beyond the scatter, on one side", func(d []float64) bool { return countBeyond(d, 5, 1) >= 4 }},
	{"eight in a row on one side of the centre", func(d []float64) bool { return countBeyond(d, 8, 0) >= 8 }},
}

// trend is Nelson's third rule: six in a row, each farther the same way.
var trend = runRule{"six in a row rising or falling", func(d []float64) bool {
	if len(d) < 6 {
		return false
	}
	last := d[len(d)-6:]
	rising, falling := true, true
	for i := 1; i < len(last); i++ {
		rising = rising && last[i] > last[i-1]
		falling = falling && last[i] < last[i-1]
	}
	return rising || falling
}}

// countBeyond returns how many of the last points lie beyond a limit on the
// newest point's side, the newest among them or not at all: a rule fires at the
// point that completes it.
func countBeyond(deviations []float64, last int, limit float64) int {
	newest := deviations[len(deviations)-1]
	side := math.Copysign(1, newest)
	if newest*side <= limit {
		return 0
	}
	n := 0
	for _, d := range deviations[max(0, len(deviations)-last):] {
		if d*side > limit {
			n++
		}
	}
	return n
}

// runsAt returns the names of the run rules that fire at the newest of values.
func (b Baseline) runsAt(values []float64) []string {
	var names []string
	deviations := make([]float64, len(values))
	for i, v := range values {
		deviations[i] = (v - b.Centre) / b.SD
	}
	for _, r := range append(zones[1:len(zones):len(zones)], trend) {
		if r.fires(deviations) {
			names = append(names, r.name)
		}
	}
	return names
}
