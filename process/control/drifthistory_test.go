package control_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"actinic/process/calibration"
	"actinic/process/control"
)

// workroom prints the same strip again and again. It knows how light becomes
// print density and how an instrument reads that, and nothing of charts.
type workroom struct {
	random *rand.Rand
	// printToPrint is the scatter of exposure from print to print (log10); what the
	// offset is read with adds to it.
	printToPrint float64
	missing      float64 // share of quantities that a check does not tell
	spread       float64 // of the workroom's own habits about the usual ones
	session      float64 // scatter of exposure that the three prints of a session share
	habits       habits
}

// habits are what scatters in a workroom; in another one it is more or less.
type habits struct{ coat, fog, humidity, reading float64 }

func newWorkroom(random *rand.Rand, spread float64) *workroom {
	w := &workroom{random: random, printToPrint: 0.03, spread: spread}
	w.habits = habits{w.about(0.05), w.about(0.6), w.about(0.02), w.about(0.4)}
	return w
}

func (w *workroom) about(v float64) float64 { return v * math.Exp(w.spread*w.random.NormFloat64()) }

// history is count checks. Exposure has another amount added from the check
// number from on (from 0).
func (w *workroom) history(count, from int, added float64) []control.DriftInput {
	var out []control.DriftInput
	day := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	session := 0.0
	for i := range count {
		if i%3 == 0 {
			session = w.session * w.random.NormFloat64()
		}
		day = day.Add(time.Duration((0.2 + 6*w.random.ExpFloat64()) * float64(24*time.Hour)))
		exposure := session + w.printToPrint*w.random.NormFloat64()
		if i >= from {
			exposure += added
		}
		out = append(out, control.DriftInput{File: fmt.Sprintf("p%02d.check.json", i+1), Check: w.print(exposure, day)})
	}
	return out
}

// print is one check: exposure, coat, fog and humidity go through the process,
// and are read. Damp paper is softer.
func (w *workroom) print(exposure float64, when time.Time) *control.Check {
	n := w.random.NormFloat64
	coat, fog, damp := w.habits.coat*n(), w.habits.fog*n(), w.habits.humidity*n()
	density := func(logExposure float64) float64 {
		x := (logExposure + exposure) * (1 - damp)
		return 0.08 + (1.30+coat)/(1+math.Exp(-4.2*(x+0.75)))
	}
	lightness := func(d float64) float64 { return 116*math.Cbrt(math.Pow(10, -d)) - 16 }
	c := &control.Check{Made: when, Setup: calibration.Setup{Process: "cyanotype", Paper: "rag"}}
	if w.told() {
		c.ExposureOffset = &control.Value{Value: exposure + 0.01*n(), SD: 0.01}
	}
	if w.told() {
		c.MaximumDensity = &control.Value{Value: density(0) + 0.01*n(), SD: 0.01}
	}
	if w.told() {
		c.Paper = &control.Tone{Read: lightness(0.08) - fog + 0.5*w.habits.reading*n(), SD: 0.2}
	}
	if w.told() {
		c.MidTone = &control.Tone{Difference: lightness(density(-0.9)) - 60 + w.habits.reading*n(), SD: 0.4}
	}
	return c
}

func (w *workroom) told() bool { return w.random.Float64() >= w.missing }
