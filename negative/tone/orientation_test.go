package tone

import "testing"

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
