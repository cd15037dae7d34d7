package tone

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"actinic/testdata/outside"
)

const pillowResize = `
import sys
from PIL import Image
name, w, h, W, H = sys.argv[1], *map(int, sys.argv[2:])
grey = Image.frombytes("F", (w, h), open(name, "rb").read())
sys.stdout.buffer.write(grey.resize((W, H), Image.LANCZOS).tobytes())
`

// Away from the edges, where others leave out what lies beyond, resampled light
// is what Pillow's Lanczos gives for floating-point pixels, smaller and larger,
// within 2 of 65535: Pillow keeps its intermediate rows as float32 too.
func TestLightAgainstPillow(t *testing.T) {
	outside.File(t, "/usr/lib/python3/dist-packages/PIL/__init__.py", "python3-pil")
	const w, h = 150, 120
	p := noisy(w, h)
	for i, v := range p.pix { // no overshoot, which we clamp
		p.pix[i] = 20000 + v/4
	}
	raw := make([]byte, 0, 4*w*h)
	for _, v := range p.pix {
		raw = binary.LittleEndian.AppendUint32(raw, math.Float32bits(float32(v)/65535))
	}
	name := filepath.Join(t.TempDir(), "light")
	if err := os.WriteFile(name, raw, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{50, 75, 100, 151, 300, 777} {
		g, _ := planned(t, p, 1, false, &Options{WidthMM: float64(width), PPI: 25.4})
		W, H := g.across.count, g.down.count
		out := outside.Run(t, "/usr/bin/python3", "python3", "-c", pillowResize, name,
			fmt.Sprint(w), fmt.Sprint(h), fmt.Sprint(W), fmt.Sprint(H))
		if len(out) < 4*W*H {
			t.Fatalf("%d bytes for %d x %d pixels", len(out), W, H)
		}
		edge := 4 * max(width/w+1, 1)
		for y, row := range lightRows(t, p, g, 16) {
			for x, got := range row {
				want := math.Float32frombits(binary.LittleEndian.Uint32(out[4*(y*W+x):]))
				inside := x >= edge && x < W-edge && y >= edge && y < H-edge
				if inside && math.Abs(float64(got-want)) > 2.0/65535 {
					t.Fatalf("width %d, pixel %d,%d: %.6f, Pillow gives %.6f", width, x, y, got, want)
				}
			}
		}
	}
}
