package tone

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"actinic/testdata/vectors"
)

// The textbook's weights, order and edges reproduce floyd_steinberg.csv (Floyd &
// Steinberg 1976, computed in double precision; see the file's first line).
func TestDiffusionVectors(t *testing.T) {
	inputs := map[string]func(x int) float64{
		"const64":  func(int) float64 { return 64 },
		"ramp":     func(x int) float64 { return float64(x) * 255 / 7 },
		"const100": func(int) float64 { return 100 },
	}
	levels := map[string]int64{"1bit": 1, "4level": 3}
	var d *Diffuser
	v := vectors.Read(t, "floyd_steinberg.csv")
	for i := range v.Rows {
		part := strings.Split(v.Cell(i, "case"), "_")
		if v.Cell(i, "row") == "0" {
			d = NewDiffuser(8, 8, 1)
			d.levels, d.wander, d.textbook, d.oneWay = levels[part[1]], 0, true, part[2] == "raster"
		}
		src, got := make([]uint16, 8), make([]uint8, 8)
		for x := range src {
			src[x] = uint16(math.Round(inputs[part[0]](x) * 257))
		}
		d.Row(got, src)
		for x, level := range got {
			value, want := float64(level)*255/float64(d.levels), v.Float(i, "x"+strconv.Itoa(x))
			if value != want {
				t.Errorf("%s row %s x %d: got %g, want %g", v.Cell(i, "case"), v.Cell(i, "row"), x, value, want)
			}
		}
	}
}

func ditherFlat(width, height, channels int, v uint16) []uint8 {
	d := NewDiffuser(width, height, channels)
	src := make([]uint16, width*channels)
	for i := range src {
		src[i] = v
	}
	var all []uint8
	for range height {
		row := make([]uint8, len(src))
		d.Row(row, src)
		all = append(all, row...)
	}
	return all
}

func meanOf(levels []uint8) float64 {
	sum := 0
	for _, v := range levels {
		sum += int(v)
	}
	return float64(sum) / float64(len(levels))
}

// Carried edges keep the mean of even a tiny flat within what the last pixel
// can round away (science: dropped edges give 59.77 for 64 on 8 x 8 at one bit).
func TestDiffusionKeepsMean(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 7}, {7, 1}, {8, 8}, {33, 20}} {
		for _, v := range []uint16{1, 64, 128, 129, 300, 16448, 32767, 40000, 65534} {
			for _, channels := range []int{1, 3} {
				got := meanOf(ditherFlat(size[0], size[1], channels, v)) * 257
				room := 257 * 0.76 / float64(size[0]*size[1])
				if v == 1 || v == 65534 { // too much carried cannot be taken back below 0
					room *= 3
				}
				if math.Abs(got-float64(v)) > room {
					t.Errorf("%v x %d channels: mean of %d is %.3f, off by more than %.3f", size, channels, v, got, room)
				}
			}
		}
	}
}

// The same at one bit, where the textbook's edges turn 64 into 59.7656
// (floyd_steinberg.csv; the mean of its const64_1bit_raster rows).
func TestDiffusionKeepsMeanAtOneBit(t *testing.T) {
	sum := func(textbook bool) float64 {
		d := NewDiffuser(8, 8, 1)
		d.levels, d.wander, d.textbook, d.oneWay = 1, 0, textbook, true
		src, out, sum := make([]uint16, 8), make([]uint8, 8), 0.0
		for i := range src {
			src[i] = 64 * 257
		}
		for range 8 {
			d.Row(out, src)
			sum += meanOf(out) * 255 / 8
		}
		return sum
	}
	if got := sum(true); math.Abs(got-59.7656) > 1e-4 {
		t.Errorf("dropped edges: mean %.4f, want the published 59.7656", got)
	}
	if got := sum(false); math.Abs(got-64) > 255*0.51/64 {
		t.Errorf("carried edges: mean %.4f, want 64", got)
	}
}

func TestDiffusionLeavesEndsAndLevelsAlone(t *testing.T) {
	for _, level := range []int{0, 1, 77, 254, 255} {
		for i, got := range ditherFlat(19, 11, 1, uint16(level*257)) {
			if int(got) != level {
				t.Fatalf("flat level %d: pixel %d became %d", level, i, got)
			}
		}
	}
}

// A sample beside a grey never puts a speck on clear film or a hole in full ink.
func TestDiffusionNoSpecksBesideGrey(t *testing.T) {
	const w, h = 40, 40
	for _, end := range []uint16{0, 65535} {
		d := NewDiffuser(w, h, 1)
		src, out := make([]uint16, w), make([]uint8, w)
		for y := range h {
			for x := range src {
				src[x] = 31111
				if x > 20 || y > 20 {
					src[x] = end
				}
			}
			d.Row(out, src)
			for x, v := range src {
				if v == end && uint16(out[x])*257 != end {
					t.Fatalf("row %d x %d: %d beside a grey became level %d", y, x, end, out[x])
				}
			}
		}
	}
}

// lateness is how far the first rows' means are from a flat, summed, in parts of
// the flat.
func lateness(d *Diffuser, v uint16) float64 {
	src, out, sum := make([]uint16, d.width), make([]uint8, d.width), 0.0
	for i := range src {
		src[i] = v
	}
	for range d.height {
		d.Row(out, src)
		sum += math.Abs(meanOf(out)*257-float64(v)) / float64(v)
	}
	return sum
}

// A very light flat must not wait rows for its first dots and then set them all
// on one line: the known fault of plain diffusion, which the noise mends.
func TestDiffusionStartsEarly(t *testing.T) {
	for _, v := range []uint16{8, 32, 64, 128} {
		plain, ours := NewDiffuser(512, 10, 1), NewDiffuser(512, 10, 1)
		plain.wander = 0
		a, b := lateness(plain, v), lateness(ours, v)
		if b > 0.5*a && b > 0.5 {
			t.Errorf("flat %d of 257: off by %.2f over ten rows, plain diffusion by %.2f", v, b, a)
		}
	}
}

// Errors stay bounded: on a noisy picture no local mean over 16 x 16 strays by
// more than a twentieth of a level.
func TestDiffusionFollowsLocalMeans(t *testing.T) {
	const w, h = 128, 128
	d := NewDiffuser(w, h, 1)
	src, out := make([]uint16, w), make([]uint8, w)
	var want, got [8][8]float64
	seed := uint32(1)
	for y := range h {
		for x := range src {
			seed = seed*1664525 + 1013904223
			src[x] = uint16(200 + 450*x + int(seed>>24)*20)
		}
		d.Row(out, src)
		for x := range src {
			want[y/16][x/16] += float64(src[x]) / 256
			got[y/16][x/16] += float64(out[x]) * 257 / 256
		}
	}
	for y := range want {
		for x := range want[y] {
			if math.Abs(want[y][x]-got[y][x]) > 257.0/20 {
				t.Errorf("block %d,%d: mean %.1f became %.1f", x, y, want[y][x], got[y][x])
			}
		}
	}
}
