package scan

import (
	"math"

	"actinic/negative/chart"
)

// strip is a step tablet as it lies in its window.
type strip struct {
	frame window
	band
	endMM   float64 // along the band, mm from the frame's middle: outer edge of the densest step
	pitchMM float64 // from step to step; negative where density rises to the right
	steps   int     // from the dense end to the last that differs from the surround
	sure    int     // to the last that surely is a step
	room    int     // whole steps from the dense end that the window has room for
	// unevenL2 is the mean square of the profile about its steps.
	unevenL2 float64
}

// window is a rectangle of the page looked at along its longer side.
type window struct {
	xMM, yMM    float64 // middle on the page
	alongMM     float64 // its longer side
	acrossMM    float64
	upright     bool    // the longer side runs down the page
	stepMM      float64 // from pixel to pixel of its picture
	cols, rows  int
	lstar       []float32
	pixelsPerMM float64
}

// Limits on the picture of a window: working values of ours. 0.1 mm shows edges
// as sharp as light leaves them under a tablet.
const (
	finestStep = 0.1
	mostAlong  = 4000
)

// pastWindow is how far past the ends of the window is looked: a strip as long as
// the window ends there, and its outer edge must be seen. Charts leave more than
// that clear on all sides.
const pastWindow = 1.3

// lookAt makes the picture of a window. It has no columns where the window lies
// nowhere.
func (r *reader) lookAt(rect chart.Rect, m pageMap) window {
	w := window{xMM: rect.XMM + rect.WidthMM/2, yMM: rect.YMM + rect.HeightMM/2,
		alongMM: rect.WidthMM, acrossMM: rect.HeightMM}
	if rect.HeightMM > rect.WidthMM {
		w.alongMM, w.acrossMM, w.upright = rect.HeightMM, rect.WidthMM, true
	}
	w.alongMM += 2 * pastWindow
	a, b := m.ToPlane(w.onPage(-1, 0)), m.ToPlane(w.onPage(1, 0))
	w.pixelsPerMM = math.Hypot(b.X-a.X, b.Y-a.Y) / 2
	if !(w.pixelsPerMM > 0) || math.IsInf(w.pixelsPerMM, 0) {
		return w
	}
	w.stepMM = max(finestStep, 1/w.pixelsPerMM, w.alongMM/mostAlong)
	w.cols, w.rows = int(w.alongMM/w.stepMM), int(w.acrossMM/w.stepMM)
	w.lstar = make([]float32, w.cols*w.rows)
	r.fill(&w, m)
	return w
}

// onPage takes millimetres along and across the frame, from its middle, to the
// page.
func (w *window) onPage(along, across float64) (xMM, yMM float64) {
	if w.upright {
		return w.xMM - across, w.yMM + along
	}
	return w.xMM + along, w.yMM + across
}

// fill averages the plane's light around each pixel of the window.
func (r *reader) fill(w *window, m pageMap) {
	reach := max(0, int(w.stepMM*w.pixelsPerMM/2))
	for j := range w.rows {
		for i := range w.cols {
			p := m.ToPlane(w.onPage(w.along(i), w.across(j)))
			w.lstar[j*w.cols+i] = r.around(p, reach)
		}
	}
}

func (w *window) along(i int) float64 {
	return (float64(i) + 0.5 - float64(w.cols)/2) * w.stepMM
}

func (w *window) across(j int) float64 {
	return (float64(j) + 0.5 - float64(w.rows)/2) * w.stepMM
}

// around returns L* of the pixels within reach of p; beyond the scan its edge
// goes on.
func (r *reader) around(p Point, reach int) float32 {
	px, py := within(p.X, r.plane.Width-1), within(p.Y, r.plane.Height-1)
	if reach == 0 {
		return r.tone.lstar[r.plane.Root[py*r.plane.Width+px]]
	}
	sum, n := 0.0, 0
	for y := max(py-reach, 0); y <= min(py+reach, r.plane.Height-1); y++ {
		for x := max(px-reach, 0); x <= min(px+reach, r.plane.Width-1); x++ {
			sum += float64(r.plane.Root[y*r.plane.Width+x])
			n++
		}
	}
	return r.tone.lstar[int(sum/float64(n))]
}

// at returns L* at a place of the frame, between pixels by straight lines; false
// outside.
func (w *window) at(along, across float64) (float64, bool) {
	x, y := along/w.stepMM+float64(w.cols)/2-0.5, across/w.stepMM+float64(w.rows)/2-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	if i < 0 || j < 0 || i+1 >= w.cols || j+1 >= w.rows {
		return 0, false
	}
	fx, fy := x-float64(i), y-float64(j)
	row, next := w.lstar[j*w.cols+i:], w.lstar[(j+1)*w.cols+i:]
	upper := float64(row[0]) + float64(fx*float64(row[1]-row[0]))
	lower := float64(next[0]) + float64(fx*float64(next[1]-next[0]))
	return upper + float64(fy*(lower-upper)), true
}
