package nextchart

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"actinic/process/calibration"
	"actinic/process/density"
	"actinic/process/measure"
)

// scene is a print of a paper and an ink twice as strong as it needs: pictures
// use half of the ramp.
type scene struct{ ink float64 }

func (s scene) lightness(stopped float64) float64 {
	share := 1 / (1 + math.Exp(-4*(-stopped+1)))
	return float64(density.Density(0.08 + 1.3*share).Lightness())
}

func (s scene) uv(ink float64) float64 { return s.ink * math.Pow(ink/100, 1.2) }

func (s scene) table(kind measure.Kind, n int, rng *rand.Rand) *measure.Table {
	nan := math.NaN()
	t := &measure.Table{Kind: kind, Unit: measure.InLightness, Name: "invented.csv"}
	for i := range n {
		r := measure.Reading{ID: string(rune('A' + i)), Ink: nan, Tablet: density.Density(nan), Unit: measure.InLightness,
			SD: nan, Spread: nan, XMM: nan, YMM: nan, TabletSD: nan, LabA: nan, LabB: nan}
		stopped := 0.05 + 0.15*float64(i)
		if kind == measure.Tablet {
			r.Tablet = density.Density(stopped)
		} else {
			r.Ink = 100 * float64(i) / float64(n-1)
			stopped = s.uv(r.Ink)
		}
		r.Value = s.lightness(stopped) + 0.5*rng.NormFloat64()
		t.Readings = append(t.Readings, r)
	}
	return t
}

// calibrated is the calibration of a print of 31 levels.
func (s scene) calibrated() *calibration.Calibration {
	rng := rand.New(rand.NewPCG(17, 4))
	e, err := calibration.Fit([]calibration.Print{{Ramp: s.table(measure.Ramp, 31, rng), Tablet: s.table(measure.Tablet, 21, rng)}}, nil)
	if err != nil {
		panic(err)
	}
	c, err := e.Build(calibration.Request{Aim: calibration.AimLightness, Made: time.Unix(0, 0)})
	if err != nil {
		panic(err)
	}
	return c
}

var strong = sync.OnceValue(func() *calibration.Calibration { return scene{4}.calibrated() })

func belief(t *testing.T, c *calibration.Calibration) *Belief {
	t.Helper()
	b, err := BeliefOf(c, "x")
	if err != nil {
		t.Fatal(err)
	}
	return b
}
