package tone

import "testing"

// turnFor is the turn upright and then, if asked, mirrored.
func turnFor(orientation int, mirrored bool) turn {
	if mirrored {
		return upright(orientation).then(mirror)
	}
	return upright(orientation)
}

// The eight orientations in the words of TIFF 6.0 (1992), page 36: which sides
// of the upright picture the stored row 0 and column 0 are. Stored is 3 wide,
// 2 high; corners name the upright place of the stored sample (0,0).
func TestOrientationsAgainstTIFF(t *testing.T) {
	const w, h = 3, 2
	type place struct{ x, y int }
	tests := map[int]struct {
		width, height int
		first         place // upright place of stored (0, 0)
		right         place // upright place of stored (1, 0)
	}{
		1: {3, 2, place{0, 0}, place{1, 0}}, // row 0 top, column 0 left
		2: {3, 2, place{2, 0}, place{1, 0}}, // top, right
		3: {3, 2, place{2, 1}, place{1, 1}}, // bottom, right
		4: {3, 2, place{0, 1}, place{1, 1}}, // bottom, left
		5: {2, 3, place{0, 0}, place{0, 1}}, // left, top
		6: {2, 3, place{1, 0}, place{1, 1}}, // right, top
		7: {2, 3, place{1, 2}, place{1, 1}}, // right, bottom
		8: {2, 3, place{0, 2}, place{0, 1}}, // left, bottom
	}
	for orientation, want := range tests {
		up := turnFor(orientation, false)
		if gw, gh := up.size(w, h); gw != want.width || gh != want.height {
			t.Errorf("orientation %d: %d x %d, want %d x %d", orientation, gw, gh, want.width, want.height)
		}
		for stored, upright := range map[place]place{{0, 0}: want.first, {1, 0}: want.right} {
			if x, y := up.stored(upright.x, upright.y, w, h); (place{x, y}) != stored {
				t.Errorf("orientation %d: upright %v is stored %d,%d, want %v", orientation, upright, x, y, stored)
			}
		}
	}
}

func TestMirrorIsOneMoreTurn(t *testing.T) {
	for orientation := range 10 {
		plain, mirrored := turnFor(orientation, false), turnFor(orientation, true)
		w, h := plain.size(5, 4)
		for y := range h {
			for x := range w {
				ax, ay := plain.stored(x, y, 5, 4)
				bx, by := mirrored.stored(w-1-x, y, 5, 4)
				if ax != bx || ay != by {
					t.Fatalf("orientation %d: %d,%d is not mirrored left to right", orientation, x, y)
				}
			}
		}
	}
}

// Turns done one after the other, pixel by pixel, are the turn that they are as
// one; a quarter turn clockwise puts the top left corner at the top right.
func TestTurnsChain(t *testing.T) {
	for a := 1; a <= 8; a++ {
		for b := 1; b <= 8; b++ {
			first, second := turns[a], turns[b]
			both := first.then(second)
			w, h := first.size(5, 4)
			bw, bh := both.size(5, 4)
			for y := range bh {
				for x := range bw {
					mx, my := second.stored(x, y, w, h)
					wx, wy := first.stored(mx, my, 5, 4)
					if gx, gy := both.stored(x, y, 5, 4); gx != wx || gy != wy {
						t.Fatalf("%d then %d: %d,%d is from %d,%d, want %d,%d", a, b, x, y, gx, gy, wx, wy)
					}
				}
			}
		}
	}
	corner := map[int][2]int{0: {0, 0}, 90: {3, 0}, 180: {4, 3}, 270: {0, 4}}
	for degrees, want := range corner {
		c := clockwise(degrees)
		if x, y := c.stored(want[0], want[1], 5, 4); x != 0 || y != 0 {
			t.Errorf("%d degrees: %v is from %d,%d, want the first pixel", degrees, want, x, y)
		}
	}
}
