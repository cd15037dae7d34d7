package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// levelsOf returns the different inks of a chart in rising order with how often
// each is there, corners and fixed values left out.
func levelsOf(c *Chart) (inks map[float64]int) {
	inks = map[float64]int{}
	for _, p := range c.Pages {
		for _, q := range p.Patches {
			if q.Ink != nil && cellID.MatchString(q.ID) {
				inks[*q.Ink]++
			}
		}
	}
	return inks
}

// TestNeutralRampHasWholeValues: every level of a neutral ramp is a whole
// printer value, and its ink follows from it.
func TestNeutralRampHasWholeValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		end := float64(rapid.IntRange(0, 200).Draw(t, "end"))
		n := rapid.IntRange(2, 256-int(end)).Draw(t, "levels")
		o := RampOptions{Sheet: sheetOf(297, 420), Levels: n, Repeats: 1}
		o.InkColour = [3]float64{end, end, end}
		levels, err := o.levels()
		if err != nil {
			t.Fatal(err)
		}
		if levels[0].ink != 0 || levels[n-1].ink != fullInk || levels[0].device[0] != 255 || levels[n-1].device[0] != end {
			t.Fatalf("from %v to %v", levels[0], levels[n-1])
		}
		for i, l := range levels {
			v := l.device[0]
			if v != math.Trunc(v) || l.device[1] != v || l.device[2] != v {
				t.Fatalf("level %d has %v", i, l.device)
			}
			if want := 100 * (255 - v) / (255 - end); math.Abs(float64(l.ink)/1000-want) > 0.0005001 {
				t.Fatalf("value %g has ink %d, want %g", v, l.ink, want)
			}
			if i > 0 && l.ink <= levels[i-1].ink {
				t.Fatalf("level %d does not rise", i)
			}
			if even := 100 * float64(i) / float64(n-1); math.Abs(float64(l.ink)/1000-even) > 0.51*100/(255-end) {
				t.Fatalf("level %d at %d, even would be %g", i, l.ink, even)
			}
		}
	})
}

// TestColouredRampLiesOnItsLine: printer RGB of a level is that of its ink, to
// the last digit of the file.
func TestColouredRampLiesOnItsLine(t *testing.T) {
	s := sheetOf(210, 297)
	s.InkColour = [3]float64{120, 0, 33.5}
	c, err := NewRamp(RampOptions{Sheet: s, Levels: 41, Repeats: 2})
	must(t, c, err)
	for _, q := range c.Pages[0].Patches {
		if q.Ink == nil {
			if q.ID[0] != 'v' {
				t.Errorf("%s has no ink", q.ID)
			}
			continue
		}
		for i, full := range s.InkColour {
			if want := 255 + *q.Ink/100*(full-255); math.Abs(q.Device[i]-want) > 0.000501 {
				t.Errorf("%s at ink %g: %v, want %g", q.ID, *q.Ink, q.Device, want)
			}
		}
	}
	if h := Draw(c, 0).Header(); h.Channels != 3 {
		t.Errorf("%d channels", h.Channels)
	}
}

func TestRampRepeatsItsLevels(t *testing.T) {
	c, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Levels: 41, Repeats: 3})
	must(t, c, err)
	inks := levelsOf(c)
	if len(inks) != 41 {
		t.Errorf("%d levels", len(inks))
	}
	for ink, n := range inks {
		if n != 3 {
			t.Errorf("ink %g is there %d times", ink, n)
		}
	}
	// The fixed values lie on a neutral ramp: 255 - 64 of 255 is 74.902 %.
	for _, q := range c.Pages[0].Patches {
		if q.ID == "v64" && (*q.Ink != 74.902 || q.Device[1] != 64) {
			t.Errorf("v64 is %v at ink %g", q.Device, *q.Ink)
		}
	}
	if h := Draw(c, 0).Header(); h.Channels != 1 || h.Bits != 16 || h.Width != 2976 || h.Height != 4209 {
		t.Errorf("header %+v; 210 x 297 mm at 360 ppi are 2976 x 4209", h)
	}
}

// TestRepeatsFillPartsOfTheirOwn: the repeats of a level never share a half of
// the sheet.
func TestRepeatsFillPartsOfTheirOwn(t *testing.T) {
	c, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Levels: 41, Repeats: 2})
	must(t, c, err)
	last := map[float64]float64{}
	middle := 0.0
	for _, q := range c.Pages[0].Patches[8:] {
		middle += q.YMM / float64(len(c.Pages[0].Patches)-8)
	}
	apart := 0
	for _, q := range c.Pages[0].Patches[8:] {
		y, seen := last[*q.Ink]
		if seen && (y < middle-25 || q.YMM > middle+25) {
			apart++
		}
		last[*q.Ink] = q.YMM
	}
	if apart < 35 {
		t.Errorf("%d of 41 levels have their repeats in two parts", apart)
	}
}

// TestLevelAndPlaceAreApart: over many seeds, level correlates with none of the
// low-order terms of place by more than chance among 64 orders leaves. A single
// random order of 82 patches would have a correlation of 0.11 in each term
// (1/sqrt(n), the null distribution of Pearson's r).
func TestLevelAndPlaceAreApart(t *testing.T) {
	worst, sum := 0.0, 0.0
	const seeds = 20
	for seed := range uint64(seeds) {
		s := sheetOf(210, 297)
		s.Seed = seed
		c, err := NewRamp(RampOptions{Sheet: s, Levels: 41, Repeats: 2})
		must(t, c, err)
		for _, r := range correlations(c.Pages[0].Patches[8:]) {
			worst = max(worst, math.Abs(r))
			sum += r * r
		}
	}
	if typical := math.Sqrt(sum / (5 * seeds)); typical > 0.06 || worst > 0.2 {
		t.Errorf("typical correlation %.3f, worst %.3f", typical, worst)
	}
}

func correlations(patches []Patch) []float64 {
	var ink []float64
	terms := make([][]float64, 5)
	for _, q := range patches {
		ink = append(ink, *q.Ink)
		x, y := (q.XMM-105)/105, (q.YMM-130)/130
		for i, v := range []float64{x, y, x * x, x * y, y * y} {
			terms[i] = append(terms[i], v)
		}
	}
	var all []float64
	for _, term := range terms {
		all = append(all, pearson(ink, term))
	}
	return all
}

func pearson(a, b []float64) float64 {
	n := float64(len(a))
	var sa, sb, saa, sbb, sab float64
	for i := range a {
		sa, sb = sa+a[i], sb+b[i]
		saa, sbb, sab = saa+a[i]*a[i], sbb+b[i]*b[i], sab+a[i]*b[i]
	}
	return (sab - sa*sb/n) / math.Sqrt((saa-sa*sa/n)*(sbb-sb*sb/n))
}

// TestCalibrationMakesLevelsDenser: with a print that changes in the first
// fifth of the ramp alone, half of the levels lie there, and half are spread.
func TestCalibrationMakesLevelsDenser(t *testing.T) {
	steep := func(ink float64) float64 { return 20 + 75*math.Min(ink/20, 1) }
	falling := func(ink float64) float64 { return 115 - steep(ink) }
	for name, f := range map[string]func(float64) float64{"rising": steep, "falling": falling} {
		o := RampOptions{Sheet: sheetOf(210, 297), Levels: 41, Repeats: 1, Lightness: f}
		levels, err := o.levels()
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, l := range levels {
			if l.ink <= 20_000 {
				n++
			}
		}
		// Half of all and a fifth of the other half: 60 % of 40 steps.
		if n < 24 || n > 26 || levels[0].ink != 0 || levels[40].ink != fullInk {
			t.Errorf("%s: %d of 41 levels in the first fifth, from %d to %d", name, n, levels[0].ink, levels[40].ink)
		}
	}
	flat := RampOptions{Sheet: sheetOf(210, 297), Levels: 5, Repeats: 1, Lightness: func(float64) float64 { return 50 }}
	if levels, err := flat.levels(); err != nil || levels[1].ink < 24_000 || levels[1].ink > 26_000 {
		t.Errorf("a flat print: %v, %v", levels, err)
	}
}

// TestCheckIsEvenInTone: with a known print the patches of a check stand at even
// steps of L*.
func TestCheckIsEvenInTone(t *testing.T) {
	bent := func(ink float64) float64 { return 20 + 75*math.Sqrt(ink/100) }
	c, err := NewCheck(CheckOptions{Sheet: sheetOf(101.6, 127), Lightness: bent,
		Device: func(ink float64) [3]float64 { v := 1 - ink/100; return [3]float64{1, v, v} }})
	must(t, c, err)
	n := 0
	for _, q := range c.Pages[0].Patches[8:] {
		step := (bent(*q.Ink) - 20) / 75 * 9
		if math.Abs(step-math.Round(step)) > 0.02 {
			t.Errorf("%s: ink %g prints step %g", q.ID, *q.Ink, step)
		}
		n++
	}
	if n != 10 {
		t.Errorf("%d patches", n)
	}
}

// TestInkBlend: a bent way through printer RGB is kept; a straight one becomes
// the plain ramp.
func TestInkBlend(t *testing.T) {
	bent := func(ink float64) [3]float64 { u := ink / 100; return [3]float64{1, 1 - u*u, 1 - u} }
	c, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Levels: 11, Repeats: 1, Device: bent})
	must(t, c, err)
	for _, q := range c.Pages[0].Patches {
		if q.Ink == nil {
			continue
		}
		for i, v := range bent(*q.Ink) {
			if math.Abs(q.Device[i]-255*v) > 0.000501 {
				t.Errorf("%s: ink %g has %v", q.ID, *q.Ink, q.Device)
			}
		}
	}
	straight, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Levels: 41, Repeats: 2,
		Device: func(ink float64) [3]float64 { v := 1 - ink/100; return [3]float64{v, v, v} }})
	must(t, straight, err)
	plain, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Levels: 41, Repeats: 2})
	if must(t, plain, err).Pages[0].Code != straight.Pages[0].Code {
		t.Error("a straight way to black is another chart than the neutral ramp")
	}
}
