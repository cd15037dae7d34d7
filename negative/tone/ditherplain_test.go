package tone

import (
	"testing"

	"pgregory.net/rapid"
)

// plainDiffusion is one channel's diffusion as the paper has it, on whole planes
// and sample by sample: 7/16 ahead, 3/16, 5/16 and 1/16 below; what leaves a side
// falls to the pixel below, and in the last row all goes ahead.
type plainDiffusion struct {
	width, height int
	carried       [][]int64
}

func (p *plainDiffusion) rows(pix [][]uint16, ch, channels int) [][]uint8 {
	out := make([][]uint8, p.height)
	for y := range out {
		p.carried = append(p.carried, make([]int64, p.width))
		out[y] = make([]uint8, p.width)
	}
	for y := range out {
		noise := rowNoise{uint32(y)*0x85ebca77 ^ uint32(ch+1)*0xc2b2ae3d, 128 << 8}
		for i := range p.width {
			x, step := i, 1
			if y%2 == 1 {
				x, step = p.width-1-i, -1
			}
			threshold := noise.threshold(x + 1)
			if y == p.height-1 {
				threshold = halfLevel
			}
			level, rest := p.level(pix[y][x*channels+ch], p.carried[y][x], threshold)
			out[y][x] = uint8(level)
			p.spread(rest, x, y, step)
		}
	}
	return out
}

// level takes the sample's worth in levels from its definition, rounded up in the
// last of 24 bits.
func (p *plainDiffusion) level(v uint16, carried, threshold int64) (level, rest int64) {
	if v == 0 || v == 65535 {
		return int64(v) / 65535 * 255, carried
	}
	want := int64(v)*(255<<24)/65535 + carried
	level = min(max((want+threshold)>>24, 0), 255)
	return level, want - level<<24
}

func (p *plainDiffusion) spread(rest int64, x, y, step int) {
	if y == p.height-1 {
		if next := x + step; next >= 0 && next < p.width {
			p.carried[y][next] += rest
		}
		return
	}
	a, b, e := floor16(7*rest), floor16(3*rest), floor16(rest)
	for _, share := range []struct {
		dx, dy int
		part   int64
	}{{step, 0, a}, {-step, 1, b}, {step, 1, e}, {0, 1, rest - a - b - e}} {
		to, down := x+share.dx, y+share.dy
		if to < 0 || to >= p.width {
			to, down = x, y+1
		}
		p.carried[down][to] += share.part
	}
}

// floor16 is a sixteenth, rounded down.
func floor16(v int64) int64 {
	q := v / 16
	if v%16 < 0 {
		q--
	}
	return q
}

// Whatever the picture, the quick loop gives what the plain one does, to 8 bits
// and in place.
func TestDiffusionIsThePlainOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		channels := rapid.SampledFrom([]int{1, 3}).Draw(t, "channels")
		p := plainDiffusion{width: rapid.IntRange(1, 12).Draw(t, "width"), height: rapid.IntRange(1, 9).Draw(t, "height")}
		sample := rapid.OneOf(rapid.Uint16(), rapid.SampledFrom([]uint16{0, 65535, 128, 129, 257}))
		rows := make([][]uint16, p.height)
		for y := range rows {
			rows[y] = rapid.SliceOfN(sample, p.width*channels, p.width*channels).Draw(t, "row")
		}
		d, bytes := NewDiffuser(p.width, p.height, channels), make([][]uint8, p.height)
		for y := range rows {
			bytes[y] = make([]uint8, len(rows[y]))
			d.Row(bytes[y], rows[y])
		}
		want := make([][][]uint8, channels)
		for ch := range want {
			want[ch] = (&plainDiffusion{width: p.width, height: p.height}).rows(rows, ch, channels)
		}
		NewDiffuser(p.width, p.height, channels).Rows(rows, 2)
		for y := range rows {
			for i, got := range bytes[y] {
				if w := want[i%channels][y][i/channels]; got != w || rows[y][i] != uint16(w)*257 {
					t.Fatalf("row %d: %v and %v in place, want %d at %d", y, bytes[y], rows[y], w, i)
				}
			}
		}
	})
}
