package scan

import (
	"math"

	"actinic/negative/chart"
)

// modules is the side of the code: ISO/IEC 18004, version 1.
const modules = 21

// codeGrid is a code as it was seen: each module's lightness about that of its
// neighbours, positive where it is dark as a reader expects it.
type codeGrid struct {
	tone  [modules][modules]float64
	frame float64 // correlation of the parts that all codes share, 0 to 1
}

// leastFrame is the correlation of finder and timing patterns below which a code
// is not looked at any further. Fields of patches reach 0.2 one time in twenty;
// what a code says is held to far more (leastMatch).
const leastFrame = 0.2

// seeCode samples the code of a page through its map, at the nudge at which its
// finder and timing patterns stand out best: a module is half a millimetre, and
// paper between marks may be off by half of that.
func (p *Plane) seeCode(w *Warp, box chart.Rect) codeGrid {
	const nudges, nudgeMM = 3, 0.12
	around := w.Around(box.XMM+box.WidthMM/2, box.YMM+box.HeightMM/2)
	var best codeGrid
	for i := -nudges; i <= nudges; i++ {
		for j := -nudges; j <= nudges; j++ {
			moved := box
			moved.XMM, moved.YMM = box.XMM+float64(j)*nudgeMM, box.YMM+float64(i)*nudgeMM
			if g := p.sampleCode(around, moved); g.frame > best.frame {
				best = g
			}
		}
	}
	return best
}

// sampleCode returns the modules in a box; of frame 0 where the box is not all
// in the plane.
func (p *Plane) sampleCode(around Affine, box chart.Rect) codeGrid {
	moduleMM := box.WidthMM / modules
	side := max(1, int(0.5*moduleMM*around.scale()))
	var roots [modules][modules]float64
	for i := range modules {
		for j := range modules {
			at := around.ToPlane(box.XMM+(float64(j)+0.5)*moduleMM, box.YMM+(float64(i)+0.5)*box.HeightMM/modules)
			x, y := math.Floor(at.X-float64(side-1)/2), math.Floor(at.Y-float64(side-1)/2)
			if !(x >= 0 && y >= 0 && x+float64(side) <= float64(p.Width) && y+float64(side) <= float64(p.Height)) {
				return codeGrid{}
			}
			roots[i][j] = p.meanRoot(int(x), int(y), side)
		}
	}
	g := codeGrid{tone: level(roots)}
	g.frame = framePattern().match(g.tone)
	if g.frame < 0 { // printed light on dark
		for i := range g.tone {
			for j := range g.tone[i] {
				g.tone[i][j] = -g.tone[i][j]
			}
		}
		g.frame = -g.frame
	}
	return g
}

// level returns how much darker each module is than half way between the
// lightest and the darkest about it.
func level(roots [modules][modules]float64) (tone [modules][modules]float64) {
	const reach = 4
	for i := range modules {
		for j := range modules {
			low, high := math.Inf(1), math.Inf(-1)
			for y := max(0, i-reach); y <= min(modules-1, i+reach); y++ {
				for x := max(0, j-reach); x <= min(modules-1, j+reach); x++ {
					low, high = min(low, roots[y][x]), max(high, roots[y][x])
				}
			}
			tone[i][j] = (low+high)/2 - roots[i][j]
		}
	}
	return tone
}

// pattern is what a code should look like: 1 dark, -1 light, 0 not asked.
type pattern [modules][modules]int8

// match returns the correlation of what was seen with a pattern, -1 to 1. Tones
// count by their sign and, up to a point, their size.
func (c *pattern) match(tone [modules][modules]float64) float64 {
	var sum, size float64
	n := 0
	for i := range c {
		for j, want := range c[i] {
			if want != 0 {
				size += math.Abs(tone[i][j])
				n++
			}
		}
	}
	if n == 0 || size == 0 {
		return 0
	}
	for i := range c {
		for j, want := range c[i] {
			sum += float64(want) * min(1, max(-1, tone[i][j]*float64(n)/size))
		}
	}
	return sum / float64(n)
}
