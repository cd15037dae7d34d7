package chart

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestColoursAreAsMany: any number asked for, one in 20 of them repeats, corners
// of the cube first.
func TestColoursAreAsMany(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 250).Draw(t, "n")
		all := colours(n)
		seen := map[[3]int]int{}
		for _, c := range all {
			seen[c]++
			for _, v := range c {
				if v < 0 || v > 255 {
					t.Fatalf("colour %v", c)
				}
			}
		}
		if len(all) != n || len(seen) != n-n/20 {
			t.Fatalf("%d colours of %d, %d different", len(all), n, len(seen))
		}
		neutral := 0
		for c := range seen {
			if c[0] == c[1] && c[1] == c[2] {
				neutral++
			}
		}
		if neutral < n/neutralShare {
			t.Fatalf("%d neutrals among %d", neutral, n)
		}
	})
	for _, corner := range [][3]int{{0, 0, 0}, {255, 255, 255}, {255, 0, 255}, {0, 255, 0}} {
		if !slices.Contains(colours(200), corner) {
			t.Errorf("%v is missing", corner)
		}
	}
	if got := len(colours(5000)); got != 5000 {
		t.Errorf("%d colours of 5000", got)
	}
}

// TestColoursAreSpread: no place of the surface is far from a colour, and the
// surface has more than a plain spread gives it. 200 colours on the surface of
// the cube, 6 x 255², cover 1950 each: a square of 44. The farthest that a place
// is from one of the chosen must stay below twice that.
func TestColoursAreSpread(t *testing.T) {
	all := colours(200)
	surface := 0
	for _, c := range all {
		if slices.Contains(c[:], 0) || slices.Contains(c[:], 255) {
			surface++
		}
	}
	if surface < 120 || surface > 190 {
		t.Errorf("%d of 200 on the surface", surface)
	}
	for _, p := range latticeColours() {
		nearest := 1 << 30
		for _, c := range all {
			d := 0
			for i := range p {
				d += (p[i] - c[i]) * (p[i] - c[i])
			}
			nearest = min(nearest, d)
		}
		if nearest > 88*88 {
			t.Errorf("%v is %d² from all", p, nearest)
		}
	}
}

func TestColoursCarryNoInk(t *testing.T) {
	c, err := NewColours(ColoursOptions{Sheet: sheetOf(210, 297), Patches: 60})
	must(t, c, err)
	for _, q := range c.Pages[0].Patches {
		if q.Ink != nil || q.Device == nil {
			t.Errorf("%s: ink %v, device %v", q.ID, q.Ink, q.Device)
		}
	}
	if Draw(c, 0).Header().Channels != 3 {
		t.Error("colours are not drawn in colour")
	}
}
