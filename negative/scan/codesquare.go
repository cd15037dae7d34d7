package scan

import (
	"math"

	"actinic/negative/chart"
)

// A code stands on a square of full ink, four modules wider all round (ISO/IEC
// 18004, the quiet zone). Charts for films of like proportions have like marks,
// only larger: where a code cannot be read, its square tells that it is there.
const (
	quietModules = 4
	leastSquare  = 0.6 // share of the rim that must be ink; a working value of ours
)

// hasSquare reports whether the rim of a code's square looks like ink.
func (l *layout) hasSquare(p *Plane, box chart.Rect) bool {
	clear, ink := l.tones()
	moduleMM := box.WidthMM / modules
	around := l.warp.Around(box.XMM+box.WidthMM/2, box.YMM+box.HeightMM/2)
	side := max(1, int(0.7*moduleMM*around.scale()))
	inked, all := 0, 0
	for i := -quietModules; i < modules+quietModules; i++ {
		for j := -quietModules; j < modules+quietModules; j++ {
			if !onRim(i) && !onRim(j) || atEdge(i) || atEdge(j) {
				continue
			}
			all++
			at := around.ToPlane(box.XMM+(float64(j)+0.5)*moduleMM, box.YMM+(float64(i)+0.5)*moduleMM)
			x, y := math.Floor(at.X-float64(side)/2), math.Floor(at.Y-float64(side)/2)
			if !(x >= 0 && y >= 0 && x+float64(side) <= float64(p.Width) && y+float64(side) <= float64(p.Height)) {
				continue
			}
			if root := p.meanRoot(int(x), int(y), side); math.Abs(root-ink) < math.Abs(root-clear) {
				inked++
			}
		}
	}
	return float64(inked) >= leastSquare*float64(all)
}

// onRim reports whether a row or column of modules lies in the middle of the
// quiet zone, and atEdge whether at its blurred edge.
func onRim(i int) bool  { return i == -3 || i == -2 || i == modules+1 || i == modules+2 }
func atEdge(i int) bool { return i == -quietModules || i == modules+quietModules-1 }

// tones returns the roots of clear film and of full ink, as the marks show them.
func (l *layout) tones() (clear, ink float64) {
	n := 0.0
	for i, ok := range l.found {
		if ok && l.seen[i].like > 0 {
			clear, ink, n = clear+l.seen[i].clear, ink+l.seen[i].clear+l.seen[i].swing, n+1
		}
	}
	return clear / n, ink / n
}
