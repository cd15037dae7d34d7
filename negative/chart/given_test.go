package chart

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Levels that were given are all there, as often as they were given, on whole
// printer values; corners and fixed values come on top.
func TestGivenLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		end := float64(rapid.IntRange(0, 200).Draw(t, "end"))
		codes := rapid.SliceOfN(rapid.IntRange(0, 255-int(end)), 1, 200).Draw(t, "codes")
		o := RampOptions{Sheet: sheetOf(210, 297)}
		o.InkColour = [3]float64{end, end, end}
		want := map[float64]int{}
		for _, c := range codes {
			o.Inks = append(o.Inks, 100*float64(c)/(255-end))
			want[255-float64(c)]++
		}
		c, err := NewRamp(o)
		if err != nil {
			t.Fatal(err)
		}
		got := map[float64]int{}
		for _, p := range c.Pages {
			for _, q := range p.Patches {
				if cellID.MatchString(q.ID) {
					v := q.Device[0]
					got[v]++
					if ink := 100 * (255 - v) / (255 - end); math.Abs(*q.Ink-ink) > 0.0005001 {
						t.Fatalf("value %g has ink %g", v, *q.Ink)
					}
				}
			}
		}
		for v, n := range want {
			if got[v] != n || len(got) != len(want) {
				t.Fatalf("values %v, want %v", got, want)
			}
		}
		if codes := o.Codes(nil); codes != 255-int(end) {
			t.Fatalf("%d codes from 255 to %g", codes, end)
		}
	})
}

// What a page shows always is what its corners show.
func TestShownAlways(t *testing.T) {
	c, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Inks: []float64{50, 20, 20}})
	if err != nil {
		t.Fatal(err)
	}
	var corners []float64
	for _, q := range c.Pages[0].Patches {
		if q.Ink != nil && !cellID.MatchString(q.ID) && q.ID[0] != 'v' {
			corners = append(corners, *q.Ink)
		}
	}
	slices.Sort(corners)
	if !slices.Equal(corners, ShownAlways()) {
		t.Errorf("corners show %v", corners)
	}
}

// The repeats of a level lie apart, on a bent and coloured ramp too: in the upper
// and the lower half of the cells.
func TestGivenRepeatsLieApart(t *testing.T) {
	o := RampOptions{Sheet: sheetOf(210, 297), Device: func(ink float64) [3]float64 {
		return [3]float64{1 - ink/100, 1 - ink*ink/10_000, 1}
	}}
	for i := range 40 {
		o.Inks = append(o.Inks, 2.5*float64(i), 2.5*float64(i))
	}
	c, err := NewRamp(o)
	if err != nil {
		t.Fatal(err)
	}
	first, apart := map[float64]float64{}, 0.0
	for _, q := range c.Pages[0].Patches {
		if !cellID.MatchString(q.ID) {
			continue
		}
		if y, again := first[*q.Ink]; again {
			apart += math.Abs(q.YMM-y) / 40
		}
		first[*q.Ink] = q.YMM
		if want := 255 * (1 - *q.Ink/100); math.Abs(q.Device[0]-want) > 0.001 || q.Device[2] != 255 {
			t.Errorf("ink %g is %v", *q.Ink, *q.Device)
		}
	}
	if len(first) != 40 || apart < 60 {
		t.Errorf("%d levels, repeats %.0f mm apart in the mean", len(first), apart)
	}
}

// Colours that were given are all there.
func TestGivenColours(t *testing.T) {
	o := ColoursOptions{Sheet: sheetOf(210, 297), Colours: [][3]float64{{1, 2, 3}, {250, 0, 17}, {1, 2, 3}}}
	for i := range 30 {
		o.Colours = append(o.Colours, [3]float64{float64(i), 100, 200})
	}
	c, err := NewColours(o)
	if err != nil {
		t.Fatal(err)
	}
	got := map[[3]float64]int{}
	for _, q := range c.Pages[0].Patches {
		if cellID.MatchString(q.ID) {
			got[*q.Device]++
		}
	}
	if c.Kind != Colours || len(got) != 32 || got[[3]float64{1, 2, 3}] != 2 {
		t.Errorf("%s chart, %d colours, %v", c.Kind, len(got), got)
	}
}

func TestGivenRefuses(t *testing.T) {
	for _, inks := range [][]float64{{}, {-1, 50}, {50, 101}, {math.NaN()}, make([]float64, mostPatches+1)} {
		if _, err := NewRamp(RampOptions{Sheet: sheetOf(210, 297), Inks: inks}); err == nil {
			t.Errorf("%d inks %v taken", len(inks), inks[:min(2, len(inks))])
		}
	}
	for _, c := range []float64{-1, 256, math.NaN()} {
		if _, err := NewColours(ColoursOptions{Sheet: sheetOf(210, 297), Colours: [][3]float64{{0, c, 0}}}); err == nil {
			t.Errorf("a colour of %g taken", c)
		}
	}
}
