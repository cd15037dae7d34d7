package calibration

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"actinic/process/density"
	"actinic/process/measure"
)

// Two spoiled patches, a pinhole and a finger mark, are named and cost little.
func TestSpoiledReadings(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	for _, unit := range []measure.Unit{measure.InLightness, measure.InDensity} {
		if s.unit = unit; unit == measure.InDensity {
			s.noise = 0.01
		}
		p := s.print(2)
		p.Ramp = altered(p.Ramp, func(r *measure.Reading, i int) { r.Value += 24 * s.noise * offBy(i, 30, 61) })
		p.Tablet = altered(p.Tablet, func(r *measure.Reading, i int) { r.Value -= 24 * s.noise * offBy(i, 9, -1) })
		e, err := Fit([]Print{p}, nil)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, o := range e.Outliers() {
			names = append(names, o.File+" "+o.ID)
			if o.ID == "P31" || o.ID == "P62" {
				if math.Abs(math.Abs(o.Off)-12) > 9 { // 12 L*, or 0.24 in density, about 8 to 20 L*
					t.Errorf("%s: %s is off by %g L*", unit, o.ID, o.Off)
				}
			}
		}
		for _, want := range []string{"ramp.csv P31", "ramp.csv P62", "tablet.csv 10"} {
			if !slices.Contains(names, want) {
				t.Errorf("%s: spoiled %s is not among the outliers %v", unit, want, names)
			}
		}
		if len(names) > 4 {
			t.Errorf("%s: outliers %v, three were spoiled", unit, names)
		}
		// About 0.12 L* without them; averaging P61 and P62 would be off by 6 L*.
		if off := s.error(e); off > 0.25 {
			t.Errorf("%s: with three spoiled readings the tone error is %.3f L*", unit, off)
		}
		c := build(t, e, Request{})
		if !slices.ContainsFunc(c.Cautions, func(s string) bool { return strings.Contains(s, "P31 of ramp.csv") }) {
			t.Errorf("%s: no caution names P31: %q", unit, c.Cautions)
		}
	}
}

// offBy is 1 at the first index, -1 at the second, else 0.
func offBy(i, up, down int) float64 {
	switch i {
	case up:
		return 1
	case down:
		return -1
	}
	return 0
}

// reversed turns the most exposed n readings of a table back by up to back, in
// the table's unit.
func reversed(t *measure.Table, n int, back float64) *measure.Table {
	sign := 1.0
	if t.Unit == measure.InDensity {
		sign = -1
	}
	from := t.Readings[n].Value
	return altered(t, func(r *measure.Reading, i int) {
		if i < n {
			r.Value = from + sign*back*float64(n-i)/float64(n)
		}
	})
}

// The most exposed patches turn back (solarisation): they are left out, named,
// and the exposure of the first good one is the upper limit.
func TestReversalIsTrimmed(t *testing.T) {
	t.Parallel()
	for _, unit := range []measure.Unit{measure.InLightness, measure.InDensity} {
		s := darkroomScene()
		s.unit, s.noise = unit, 0.05
		back := 9.0
		if unit == measure.InDensity {
			s.noise, back = 0.001, 0.3
		}
		p := s.print(3)
		p.Tablet, p.Ramp = reversed(p.Tablet, 3, back), reversed(p.Ramp, 8, back)
		e, err := Fit([]Print{p}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(e.Reversed) != 2 {
			t.Fatalf("%s: reversals %+v, want one of the tablet and one of the ramp", unit, e.Reversed)
		}
		tab, ramp := e.Reversed[0], e.Reversed[1]
		if !slices.Equal(tab.IDs, []string{"1", "2", "3"}) || math.Abs(tab.Tablet-0.5) > 1e-9 || !math.IsNaN(tab.Ink) || tab.File != "dir/tablet.csv" {
			t.Errorf("%s: tablet %+v, want steps 1 to 3 and a limit of density 0.5", unit, tab)
		}
		if len(ramp.IDs) != 8 || ramp.IDs[0] != "P1" || ramp.Ink != 10 || !math.IsNaN(ramp.Tablet) {
			t.Errorf("%s: ramp %+v, want P1 to P8 and a limit of 10 %% ink", unit, ramp)
		}
		if math.Abs(tab.By-back) > 0.3*back || math.Abs(ramp.By-back) > 0.3*back {
			t.Errorf("%s: turned back by %g and %g, want about %g", unit, tab.By, ramp.By, back)
		}
		c := build(t, e, Request{})
		if c.Characteristic.UpperLimit == nil || math.Abs(*c.Characteristic.UpperLimit+0.5) > 1e-9 || len(c.Quality.Reversed) != 11 {
			t.Errorf("%s: upper limit %v, reversed %v", unit, c.Characteristic.UpperLimit, c.Quality.Reversed)
		}
		if c.Curve.Ink[0] < 10 {
			t.Errorf("%s: the curve uses %g %% ink, below the limit of 10", unit, c.Curve.Ink[0])
		}
		if !strings.Contains(c.Cautions[0], "1, 2, 3") || !strings.Contains(c.Cautions[0], "tablet density 0.50 is the upper limit") {
			t.Errorf("%s: caution %q", unit, c.Cautions[0])
		}
		good := 0.0
		for ink := 15.0; ink < 95; ink += 5 {
			good = math.Max(good, math.Abs(float64(e.tone(ink))-s.tone(ink)))
		}
		if good > 0.5 {
			t.Errorf("%s: the fit beside the reversal is off by %.2f L*", unit, good)
		}
	}
}

// A reversal within the noise is none.
func TestNoReversalWithinTheNoise(t *testing.T) {
	s := darkroomScene()
	for seed := range uint64(300) {
		p := s.print(seed)
		_, reversed, err := trimReversals([]Print{p}, &Options{})
		if err != nil || len(reversed) > 0 {
			t.Errorf("seed %d: %v, %v", seed, reversed, err)
		}
	}
}

// The order of readings, and how many processors there are, does not matter.
func TestOrderOfReadings(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	p := s.print(4)
	first, err := Fit([]Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Fit([]Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	shuffled := altered(p.Ramp, func(*measure.Reading, int) {})
	rng.Shuffle(len(shuffled.Readings), func(i, k int) {
		shuffled.Readings[i], shuffled.Readings[k] = shuffled.Readings[k], shuffled.Readings[i]
	})
	turned := altered(p.Tablet, func(*measure.Reading, int) {})
	slices.Reverse(turned.Readings)
	other, err := Fit([]Print{{Ramp: shuffled, Tablet: turned}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for ink := 0.0; ink <= 100; ink++ {
		l, sd := first.PrintLightness(ink)
		if l2, sd2 := again.PrintLightness(ink); l2 != l || sd2 != sd {
			t.Fatalf("at %g %% ink the same readings give %v +- %v and %v +- %v", ink, l, sd, l2, sd2)
		}
		l3, sd3 := other.PrintLightness(ink)
		near(t, "L* after a shuffle", float64(l3), float64(l), 1e-6)
		near(t, "its doubt", sd3, sd, 1e-5)
	}
	a, b := first.Sensitometry(), other.Sensitometry()
	near(t, "exposure scale after a shuffle", b.ExposureScale.Value, a.ExposureScale.Value, 1e-7)
}

// The same print read as L* or as density gives the same curve: noise so small
// that what the two scales weigh differently does not matter.
func TestDensityAndLightnessAgree(t *testing.T) {
	t.Parallel()
	s := darkroomScene()
	s.noise = 0.1
	p := s.print(6)
	inL, err := Fit([]Print{p}, nil)
	if err != nil {
		t.Fatal(err)
	}
	toDensity := func(in *measure.Table) *measure.Table {
		out := altered(in, func(r *measure.Reading, i int) {
			r.Value, r.Unit = float64(density.Lightness(r.Value).Density()), measure.InDensity
		})
		out.Unit = measure.InDensity
		return out
	}
	inD, err := Fit([]Print{{Ramp: toDensity(p.Ramp), Tablet: toDensity(p.Tablet)}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	mixed, err := Fit([]Print{{Ramp: toDensity(p.Ramp), Tablet: p.Tablet}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for ink := 0.0; ink <= 100; ink += 2 {
		l, sd := inL.PrintLightness(ink)
		for name, e := range map[string]*Estimate{"density": inD, "both": mixed} {
			l2, sd2 := e.PrintLightness(ink)
			near(t, "L* from readings in "+name, float64(l2), float64(l), 3*math.Hypot(sd, sd2))
		}
	}
	l, d := mixed.Noise()
	if math.IsNaN(l) || math.IsNaN(d) {
		t.Errorf("noise %g L* and %g in density, want both", l, d)
	}
	if _, d := inL.Noise(); !math.IsNaN(d) {
		t.Errorf("noise in density of readings in L*: %g", d)
	}
}
