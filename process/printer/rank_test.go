package printer

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// yellowStrong is an invented printer: yellow stops most, cyan some, magenta
// least, and UV density is even in each.
var yellowStrong = told(func(c RGB) float64 {
	return 2*(255-c[2])/255 + 0.9*(255-c[0])/255 + 0.4*(255-c[1])/255
})

func colourAt(m Predictor, c RGB, sd float64) Colour {
	uv, _ := m.UVDensity(c)
	return Colour{RGB: c, UVDensity: uv, SD: sd, AtLeast: math.NaN(), AtMost: math.NaN()}
}

func cubeCorners(m Predictor, sd float64) []Colour {
	var all []Colour
	for i := range 8 {
		c := RGB{255 * float64(i&1), 255 * float64(i>>1&1), 255 * float64(i>>2&1)}
		all = append(all, colourAt(m, c, sd))
	}
	return all
}

// Worked by hand: yellow alone reaches 1.5 at 75 % of its ramp with an ink load
// of 25 %; a step is 2/255, which costs 3.92 marks of merit; nothing is short.
func TestRankByHand(t *testing.T) {
	r := Rank(yellowStrong, cubeCorners(yellowStrong, 0.02), RankOptions{NeededRange: 1.5, NeededSD: 0.02})
	best, ok := bestOf(r)
	if !ok || best.RGB() != (RGB{255, 255, 0}) {
		t.Fatalf("%+v", best)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"ink percent", best.InkPercent, 75},
		{"ink load", best.InkLoad, 25},
		{"steepest", best.Steepest, 2.0 / 255},
		{"margin", best.Margin, 0.5 - 1.645*math.Hypot(0.02, 0.02)},
		{"reserve", best.Reserve, 0.5},
		{"levels", float64(best.Levels), 193}, // clear film and 192 more: 0.75 x 255 = 191.25, and the code that reaches it
		{"merit", best.Merit, 100 - 25 - 500*2.0/255},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s %v, want %v", c.name, c.got, c.want)
		}
	}
	if len(r.Colours) != 7 || r.Shortfall != 0 {
		t.Errorf("%d colours without clear film, shortfall %v", len(r.Colours), r.Shortfall)
	}
	for _, c := range r.Colours {
		if len(c.Reasons) == 0 || c.Reaches != (c.Margin >= 0) {
			t.Errorf("%+v", c)
		}
	}
}

// A colour whose doubt spans the needed range does not count as reaching it, and
// a bound does.
func TestRankMindsDoubtAndBounds(t *testing.T) {
	near := colourAt(yellowStrong, RGB{255, 255, 0}, 0.2)
	bound := colourAt(yellowStrong, RGB{0, 255, 0}, 0)
	bound.UVDensity, bound.SD, bound.AtLeast = math.NaN(), math.NaN(), 2.1
	low := colourAt(yellowStrong, RGB{0, 0, 0}, 0)
	low.UVDensity, low.SD, low.AtLeast = math.NaN(), math.NaN(), 1.2
	most := colourAt(yellowStrong, RGB{255, 250, 255}, 0)
	most.UVDensity, most.SD, most.AtMost = math.NaN(), math.NaN(), 0.05
	r := Rank(yellowStrong, []Colour{near, bound, low, most}, RankOptions{NeededRange: 1.9})
	best, _ := bestOf(r)
	if best.RGB() != bound.RGB || best.UVDensity != nil || *best.AtLeast != 2.1 {
		t.Errorf("best %+v", best)
	}
	for _, c := range r.Colours[1:] {
		if c.Reaches {
			t.Errorf("%v counts as reaching: %q", c.RGB(), c.Reasons)
		}
	}
	for colour, want := range map[RGB]string{near.RGB: "may reach", low.RGB: "print it with more exposure", most.RGB: "too little is known"} {
		i := slices.IndexFunc(r.Colours, func(c Ranked) bool { return c.RGB() == colour })
		if got := r.Colours[i].Reasons[0]; !strings.Contains(got, want) {
			t.Errorf("%v: %q, want %q", colour, got, want)
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Errorf("JSON: %v", err)
	}
}

func TestRankWhereNoneReaches(t *testing.T) {
	r := Rank(yellowStrong, cubeCorners(yellowStrong, 0), RankOptions{NeededRange: 4})
	if _, ok := bestOf(r); ok || math.Abs(r.Shortfall-0.7) > 1e-12 || len(r.ShortList(3)) != 0 {
		t.Errorf("shortfall %v, the densest stops 3.3 of 4", r.Shortfall)
	}
	if r.Colours[0].RGB() != (RGB{}) {
		t.Errorf("the densest is not first: %v", r.Colours[0].RGB())
	}
	none := Rank(yellowStrong, nil, RankOptions{NeededRange: 4})
	if _, ok := bestOf(none); ok || none.Shortfall != 4 {
		t.Errorf("%+v", none)
	}
}

func TestShortListLeavesOutTheAlike(t *testing.T) {
	var all []Colour
	for _, c := range []RGB{{255, 255, 0}, {250, 255, 0}, {255, 230, 10}, {200, 255, 0}, {255, 150, 0}} {
		all = append(all, colourAt(yellowStrong, c, 0))
	}
	list := Rank(yellowStrong, all, RankOptions{NeededRange: 1.5}).ShortList(5)
	for i, a := range list {
		for _, b := range list[:i] {
			if farthest(a.RGB(), b.RGB()) < alike {
				t.Errorf("%v and %v are alike", a.RGB(), b.RGB())
			}
		}
	}
	if len(list) != 3 {
		t.Errorf("%d on the list, want 3", len(list))
	}
}

// The order does not depend on the order in which colours come, and no colour
// is before one of more merit that reaches too.
func TestRankOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "colours")
		var all []Colour
		for i := range n {
			code := rapid.Float64Range(0, 255)
			c := colourAt(yellowStrong, RGB{code.Draw(t, "r"), code.Draw(t, "g"), code.Draw(t, "b")}, rapid.Float64Range(0, 0.3).Draw(t, "sd"))
			if i%5 == 4 {
				c.AtLeast, c.UVDensity, c.SD = c.UVDensity-0.1, math.NaN(), math.NaN()
			}
			all = append(all, c)
		}
		o := RankOptions{NeededRange: rapid.Float64Range(0.1, 3.5).Draw(t, "range"), NeededSD: 0.02}
		r := Rank(yellowStrong, all, o)
		slices.Reverse(all)
		again := Rank(yellowStrong, all, o)
		for i, c := range r.Colours {
			if c.RGB() != again.Colours[i].RGB() {
				t.Fatalf("place %d: %v or %v", i, c.RGB(), again.Colours[i].RGB())
			}
			if i == 0 {
				continue
			}
			before := r.Colours[i-1]
			if !before.Reaches && c.Reaches || before.Reaches && c.Reaches && before.Merit < c.Merit {
				t.Fatalf("place %d: %+v after %+v", i, c, before)
			}
		}
	})
}

// bestOf returns the best colour; false where none reaches the needed range.
func bestOf(r *Ranking) (Ranked, bool) {
	list := r.ShortList(1)
	if len(list) == 0 {
		return Ranked{}, false
	}
	return list[0], true
}
