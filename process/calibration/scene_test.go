package calibration

import (
	"math"
	"math/rand/v2"
	"sort"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/stat"

	"actinic/process/density"
	"actinic/process/measure"
)

// scene is a print whose truth is known in closed form: a paper, an ink and how
// they were printed and read.
type scene struct {
	paper    richardsExample
	falling  bool // positive-working: the paper is read from the other side
	uv       func(u float64) float64
	levels   int // of the ramp, each read twice; 0 for no ramp
	repeats  int
	steps    int // of a 0.15 tablet from 0.05; 0 for none
	cutOut   bool
	base     float64 // UV density of clear film, which a tablet in a cut-out does not lie on
	exposure float64 // log exposure against the first print
	unit     measure.Unit
	noise    float64 // of one reading, in unit
}

// smoothInk bends evenly; kinkedInk doubles its slope where the printer
// takes another. Both rise from 0.
func smoothInk(u float64) float64 { return 2.4 * (0.35*u + 0.65*u*u) }
func kinkedInk(u float64) float64 {
	return 1.55*u + 1.55*math.Max(0, u-0.45)
}

// darkroomScene is the common case: 41 levels, two repeats, 21 steps, 0.5 L*.
func darkroomScene() scene {
	return scene{paper: richardsExample{paper: 0.08, net: 1.4, k: 4, x0: -1.15, m: 1}, uv: smoothInk,
		levels: 41, repeats: 2, steps: 21, unit: measure.InLightness, noise: 0.5}
}

// density is the print density under a UV density of uv, net above clear film.
func (s scene) density(uv float64) density.Density {
	x := s.exposure - uv
	if s.falling {
		x = -2.2 - x
	}
	return density.Density(s.paper.density(x))
}

// tone is the true L* of the first print's exposure under a film ink.
func (s scene) tone(ink float64) float64 {
	s.exposure = 0
	return float64(s.density(s.uv(ink / 100)).Lightness())
}

func (s scene) read(rng *rand.Rand, id string, uv float64) measure.Reading {
	d := s.density(uv)
	return flat(func(r *measure.Reading) {
		r.ID, r.Unit, r.Value = id, s.unit, float64(d)
		if s.unit == measure.InLightness {
			r.Value = float64(d.Lightness())
		}
		if r.Value += s.noise * rng.NormFloat64(); r.Value < 0 {
			r.Value = 0
		}
	})
}

// print reads the scene with noise of a seed.
func (s scene) print(seed uint64) Print {
	rng := rand.New(rand.NewPCG(seed, 77))
	p := Print{CutOut: s.cutOut}
	if s.steps > 0 {
		p.Tablet = &measure.Table{Kind: measure.Tablet, Unit: s.unit, File: "dir/tablet.csv", Name: "tablet.csv", SHA256: "aa"}
		for i := range s.steps {
			d := 0.05 + 0.15*float64(i)
			stopped := d
			if s.cutOut {
				stopped -= s.base
			}
			r := s.read(rng, strconv.Itoa(i+1), stopped)
			r.Tablet = density.Density(d)
			p.Tablet.Readings = append(p.Tablet.Readings, r)
		}
	}
	if s.levels > 0 {
		p.Ramp = &measure.Table{Kind: measure.Ramp, Unit: s.unit, File: "dir/ramp.csv", Name: "ramp.csv", SHA256: "bb"}
		for i := range s.levels * s.repeats {
			ink := 100 * float64(i/s.repeats) / float64(s.levels-1)
			r := s.read(rng, "P"+strconv.Itoa(i+1), s.uv(ink/100))
			r.Ink = ink
			p.Ramp.Readings = append(p.Ramp.Readings, r)
		}
	}
	return p
}

// fit reads and fits the scene.
func (s scene) fit(t testing.TB, seed uint64) *Estimate {
	t.Helper()
	e, err := Fit([]Print{s.print(seed)}, &Options{Falling: s.falling})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// build makes the calibration of an estimate as the command does.
func build(t testing.TB, e *Estimate, rq Request) *Calibration {
	t.Helper()
	if rq.Aim.Name == "" {
		rq.Aim = AimLightness
	}
	c, err := e.Build(rq)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// toneError is what is left of the difference between estimate and true print,
// at even steps of the print's tone, after the straight line through it over
// tone: root mean square in L*.
func (s scene) toneError(estimate func(ink float64) float64) float64 {
	const steps = 60
	var tone, off []float64
	black, white := s.tone(1), s.tone(99)
	for i := range steps + 1 {
		want := black + (white-black)*float64(i)/steps
		ink := float64(sort.Search(9800, func(k int) bool { return s.tone(1+float64(k)/100) >= want }))/100 + 1
		tone = append(tone, s.tone(ink))
		off = append(off, estimate(ink)-s.tone(ink))
	}
	a, b := stat.LinearRegression(tone, off, nil, false)
	sum := 0.0
	for i, v := range off {
		rest := v - a - b*tone[i]
		sum += rest * rest
	}
	return math.Sqrt(sum / float64(len(off)))
}

// error is the tone error of an estimate.
func (s scene) error(e *Estimate) float64 {
	return s.toneError(func(ink float64) float64 { return float64(e.tone(ink)) })
}

// held is the share of inks whose 95 % band holds the true tone.
func (s scene) held(e *Estimate) float64 {
	in, n := 0.0, 0.0
	for ink := 1.0; ink <= 99; ink += 2 {
		l, sd := e.PrintLightness(ink)
		if math.Abs(float64(l)-s.tone(ink)) <= coverage95*sd {
			in++
		}
		n++
	}
	return in / n
}
