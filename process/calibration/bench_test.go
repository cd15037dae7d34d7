package calibration

import (
	"math"
	"math/rand/v2"
	"testing"

	"actinic/process/density"
	"actinic/process/measure"
)

// syntheticPrints is three prints of 21 steps and 179 film-ink patches each,
// 200 readings a print, of a paper and an ink with kinks.
func syntheticPrints(prints int) []Print {
	rng := rand.New(rand.NewPCG(3, 14))
	paper := richardsExample{paper: 0.08, net: 1.4, k: 4, x0: -1.1, m: 1}
	uv := func(u float64) float64 { return 1.1*u + 0.9*math.Max(0, u-0.4) - 0.5*math.Max(0, u-0.75) }
	var out []Print
	for k := range prints {
		read := func(t *measure.Table, i int, stopped float64, set func(*measure.Reading)) {
			d := density.Density(paper.density(0.05*float64(k) - stopped))
			t.Readings = append(t.Readings, reading(func(r *measure.Reading) {
				r.Unit, r.Value = measure.InLightness, float64(d.Lightness())+0.5*rng.NormFloat64()
				set(r)
			}, i))
		}
		tab := &measure.Table{Kind: measure.Tablet, Unit: measure.InLightness, Name: "tablet.csv"}
		for i := range 21 {
			d := 0.05 + 0.15*float64(i)
			read(tab, i, d, func(r *measure.Reading) { r.Tablet = density.Density(d) })
		}
		ramp := &measure.Table{Kind: measure.Ramp, Unit: measure.InLightness, Name: "ramp.csv"}
		for i := range 179 {
			u := float64(i) / 178
			read(ramp, i, uv(u), func(r *measure.Reading) { r.Ink = 100 * u })
		}
		out = append(out, Print{Tablet: tab, Ramp: ramp})
	}
	return out
}

func BenchmarkFitThreePrints(b *testing.B) {
	prints := syntheticPrints(3)
	for b.Loop() {
		if _, err := Fit(prints, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	e, err := Fit(syntheticPrints(1), nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := e.Build(Request{Aim: AimLightness}); err != nil {
			b.Fatal(err)
		}
	}
}

// With positions the unevenness of every print is fitted too.
func BenchmarkFitThreePlacedPrints(b *testing.B) {
	prints := syntheticPrints(3)
	for k := range prints {
		ramp := prints[k].Ramp.Readings
		for at, i := range rand.New(rand.NewPCG(uint64(k), 5)).Perm(len(ramp)) {
			ramp[i].XMM, ramp[i].YMM = 12*float64(at%14), 15*float64(at/14)
			ramp[i].Value = min(100, ramp[i].Value+0.02*(ramp[i].XMM-80)+2e-4*ramp[i].YMM*ramp[i].YMM)
		}
	}
	for b.Loop() {
		if _, err := Fit(prints, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// One print of ninety patches and a tablet on an uneven sheet.
func BenchmarkFitUnevenPrint(b *testing.B) {
	a := unevenScene{scene: darkroomScene(), light: 0.03, coating: 0.03}
	prints := []Print{a.print(1)}
	for b.Loop() {
		if _, err := Fit(prints, nil); err != nil {
			b.Fatal(err)
		}
	}
}
