package scan

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"actinic/negative/chart"
	"actinic/process/tablet"
)

// The margin of a patch that is not read: light spreads under the film, edges are
// soft in the scan, and marks lie only so true. Working values of ours.
const (
	marginMM    = 0.8
	leastMargin = 0.10 // share of a side
	mostMargin  = 0.25
)

// patchArea is the inner part of a patch.
func patchArea(p *chart.Patch) area {
	return area{xMM: p.XMM + p.WidthMM/2, yMM: p.YMM + p.HeightMM/2,
		halfWMM: p.WidthMM/2 - margin(p.WidthMM), halfHMM: p.HeightMM/2 - margin(p.HeightMM)}
}

func margin(sideMM float64) float64 {
	return min(max(marginMM, leastMargin*sideMM), mostMargin*sideMM)
}

// readPatches reads the patches of the page on several cores.
func (p *pageRead) readPatches(r *reader, page *chart.Page, jobs int) {
	n := len(page.Patches)
	p.readings, p.areas = make([]*Reading, n), make([]area, n)
	if jobs <= 0 {
		jobs = runtime.GOMAXPROCS(0)
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(jobs, max(n, 1)) {
		wait.Go(func() {
			own := newReader(r.plane, r.clip, r.tone)
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				p.readings[i], p.areas[i] = own.readPatch(&page.Patches[i], p.at)
			}
		})
	}
	wait.Wait()
}

func (r *reader) readPatch(patch *chart.Patch, at *Located) (*Reading, area) {
	a := patchArea(patch)
	out := r.read(a, at.Warp)
	out.ID, out.Page, out.patch = patch.ID, at.Page, patch
	return &out, a
}

// BoxReport is what the box for opaque tape says.
type BoxReport struct {
	Taped bool `json:"taped"`
	// Lstar is what the box reads: with tape, the paper that no light reached.
	Lstar float64 `json:"lstar"`
	// FullInkLstar is the print of full ink, and Difference what it lies away
	// from the paper.
	FullInkLstar float64 `json:"full_ink_lstar"`
	Difference   float64 `json:"difference_lstar"`

	reading *Reading
}

// boxInner is the share of the box that is read each way: tape is laid by hand.
const boxInner = 0.5

// readBox reads the box for opaque tape. It is taped where it looks more like
// full ink than like clear film.
func (p *pageRead) readBox(r *reader, page *chart.Page) {
	b := page.OpaqueBox
	full, okFull := p.medianOf(isFull)
	clear, okClear := p.medianOf(isClear)
	if b == nil || !okFull || !okClear {
		return
	}
	got := r.read(area{xMM: b.XMM + b.WidthMM/2, yMM: b.YMM + b.HeightMM/2,
		halfWMM: boxInner * b.WidthMM / 2, halfHMM: boxInner * b.HeightMM / 2}, p.at.Warp)
	if got.seen.flag(r.tone) != "" {
		return
	}
	p.box = &BoxReport{Lstar: got.Lstar, FullInkLstar: full, Difference: got.Lstar - full, reading: &got}
	p.box.Taped = math.Abs(got.Lstar-full) < math.Abs(got.Lstar-clear) && got.seen.slope() < mostSlope
}

// white returns the reading of bare paper, nil where there is no tape.
func (b *BoxReport) white() *Reading {
	if b == nil || !b.Taped {
		return nil
	}
	return b.reading
}

// medianOf returns the median L* of the patches of a sort.
func (p *pageRead) medianOf(sort func(*Reading) bool) (float64, bool) {
	var l []float64
	for _, r := range p.readings {
		if sort(r) && r.Count > 0 {
			l = append(l, r.Lstar)
		}
	}
	return median(l), len(l) > 0
}

// readTablet finds and reads the step tablet in the window. Where there is none it
// says so in noStrip: another page may have it.
func (p *pageRead) readTablet(r *reader, page *chart.Page, o *Options) error {
	if page.TabletWindow == nil {
		return nil
	}
	var s *strip
	if s, p.noStrip = r.findStrip(*page.TabletWindow, p, o.Tablet); s == nil {
		return nil
	}
	got, err := r.readStrip(*s, p.at.Warp, o.Tablet)
	if err != nil {
		return err
	}
	giveFlags(got.steps, r.tone)
	for _, step := range got.steps {
		step.Page = p.at.Page
		p.lighting.even(step)
	}
	giveDoubts(got.steps)
	p.steps, p.stepAreas, p.notices = got.steps, got.areas, append(p.notices, got.notices...)
	return nil
}

// findStrip finds the tablet, which may be known, or says why not.
func (r *reader) findStrip(rect chart.Rect, p *pageRead, known *tablet.Tablet) (*strip, string) {
	w := r.lookAt(rect, p.at.Warp)
	if w.cols < 20 || w.rows < 5 {
		return nil, "the tablet window is too small in the scan to find a tablet"
	}
	surround, ok := p.medianOf(isClear)
	if !ok {
		surround = w.border()
	}
	b, ok := w.findBand(surround)
	if !ok {
		return nil, "no step tablet lay in the tablet window: there is nothing but clear film"
	}
	most := math.MaxInt
	if known != nil {
		most = len(known.Steps)
	}
	s, ok := w.findKnown(b, most)
	if !ok {
		return nil, "something lies in the tablet window, but no steps of even length, from black to a clean end, are seen"
	}
	return &s, ""
}

// border is the median L* along the edges of a window.
func (w *window) border() float64 {
	var edge []float64
	for i := range w.cols {
		edge = append(edge, float64(w.lstar[i]), float64(w.lstar[(w.rows-1)*w.cols+i]))
	}
	return median(edge)
}
