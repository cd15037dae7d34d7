package chart

import (
	"fmt"
	"time"

	"actinic/process/fault"
)

// Sheet is what charts of all kinds share: the film, and how it is printed.
type Sheet struct {
	WidthMM, HeightMM float64
	// MarginMM is left blank along each side: what the printer can't reach.
	MarginMM float64
	PPI      float64
	// InkColour is the printer RGB of full ink, 0 to 255; the zero value is the
	// end of the neutral ramp.
	InkColour [3]float64
	Window    Window
	// Mirrored says that the film raster is the page mirrored left to right.
	Mirrored bool
	Seed     uint64
	Made     time.Time
	Inputs   []Input
}

// Window is the clear film that a step tablet is laid on. The zero value is the
// usual window of the kind of chart, or the largest that the film has room for.
type Window struct {
	WidthMM, HeightMM float64 // both above 0, or both 0; may be turned
	None              bool
}

// What a film and a window may measure. PDF pages reach 5080 mm, a printer's
// roll film never does (working values of ours).
const (
	mostSideMM  = 1200
	leastPPI    = 72
	mostPPI     = 2880
	mostPatches = 5000
	mostPages   = 99
	leastWindow = 10
)

// check refuses a sheet that no chart can be made of.
func (s *Sheet) check() error {
	switch {
	case !(s.WidthMM > 0 && s.HeightMM > 0 && s.WidthMM <= mostSideMM && s.HeightMM <= mostSideMM):
		return fault.New("", "", fmt.Sprintf("the film is %g x %g mm; a side may be up to %d mm", s.WidthMM, s.HeightMM, mostSideMM), "name the film, for example --film A4")
	case !(s.MarginMM >= 0 && s.MarginMM <= 50):
		return fault.New("", "", fmt.Sprintf("a margin of %g mm, expected 0 to 50", s.MarginMM), "give what your printer leaves blank, for example --margin 6")
	case !(s.PPI >= leastPPI && s.PPI <= mostPPI):
		return fault.New("", "", fmt.Sprintf("a resolution of %g ppi, expected %d to %d", s.PPI, leastPPI, mostPPI), "give the printer's own resolution, 360 or 300 as a rule")
	}
	for _, v := range s.InkColour {
		if !(v >= 0 && v <= 255) {
			return fault.New("", "", fmt.Sprintf("an ink colour of %g, expected three values of 0 to 255", s.InkColour), "give red, green and blue, for example --ink-colour 0,0,0")
		}
	}
	if s.InkColour == [3]float64{255, 255, 255} {
		return fault.New("", "", "an ink colour of 255,255,255 is clear film: marks and patches would hold no ink", "give the colour of full ink, for example --ink-colour 0,0,0")
	}
	if w := s.Window; !w.None && w != (Window{}) && !(inWindow(w.WidthMM) && inWindow(w.HeightMM)) {
		return fault.New("", "", fmt.Sprintf("a tablet window of %g x %g mm; a side may be %d to %d mm", w.WidthMM, w.HeightMM, leastWindow, mostSideMM),
			"give the size of your step tablet with some room, for example --tablet-window 130x30")
	}
	return nil
}

func inWindow(mm float64) bool { return mm >= leastWindow && mm <= mostSideMM }

func (s *Sheet) form(kind Kind) form {
	return form{kind: kind, w: um(s.WidthMM), h: um(s.HeightMM), margin: um(s.MarginMM)}
}

// usualWindows are the windows of charts for which none is asked: common
// practice, from memory, is a tablet of about 5 x 1 inches.
var usualWindows = map[Kind]Window{
	Ramp:    {WidthMM: 130, HeightMM: 30},
	Colours: {WidthMM: 130, HeightMM: 30},
	Tablet:  {WidthMM: 130, HeightMM: 30},
	Check:   {WidthMM: 100, HeightMM: 25},
}

// plan lays out a page with its window, and says where the window is not the
// one that was meant.
func (s *Sheet) plan(kind Kind) (p *plan, notices []string, err error) {
	f := s.form(kind)
	want, usual := s.Window, false
	if want == (Window{}) {
		want, usual = usualWindows[kind], true
	}
	if want.None || want == (Window{}) {
		if p, ok := planFor(f, 0, 0); ok {
			return p, nil, nil
		}
		return nil, nil, s.tooSmall()
	}
	w, h := um(want.WidthMM), um(want.HeightMM)
	if p, ok := eitherWay(f, w, h); ok {
		return p, nil, nil
	}
	if _, ok := planFor(f, 0, 0); !ok {
		return nil, nil, s.tooSmall()
	}
	if !usual {
		return nil, nil, fault.New("", "", fmt.Sprintf("a tablet window of %g x %g mm has no room on film of %g x %g mm, whichever way it is turned", want.WidthMM, want.HeightMM, s.WidthMM, s.HeightMM),
			"give a smaller one, for example --tablet-window 80x20, --tablet-window none, or larger film")
	}
	return s.shrunk(f, w, h)
}

// shrunk lays out the longest window that has room, in steps of 1 mm.
func (s *Sheet) shrunk(f form, w, h int) (*plan, []string, error) {
	for long := w - umPerMM; long >= h; long -= umPerMM {
		if p, ok := eitherWay(f, long, h); ok {
			return p, []string{fmt.Sprintf("the tablet window is %g x %g mm: this film has no room for %g x %g mm.",
				mm(long), mm(h), mm(w), mm(h))}, nil
		}
	}
	p, _ := planFor(f, 0, 0)
	return p, []string{"this film has no room for a tablet window: the chart has none."}, nil
}

// eitherWay tries a window as it is, then turned.
func eitherWay(f form, w, h int) (*plan, bool) {
	if p, ok := planFor(f, w, h); ok {
		return p, true
	}
	return planFor(f, h, w)
}

// planFor lays out a page with a window, if there is room for both.
func planFor(f form, windowW, windowH int) (*plan, bool) {
	f.windowW, f.windowH = windowW, windowH
	p, ok := newPlan(f)
	if !ok || !p.usable() {
		return nil, false
	}
	return p, true
}

// usable reports whether the field holds what the kind of chart needs at least.
func (p *plan) usable() bool {
	if !p.hasGrid() {
		return true
	}
	_, _, ok := layCells(p, leastOnPage)
	return ok
}

// leastOnPage is how few patches make a page worth its film.
const leastOnPage = 10

func (s *Sheet) tooSmall() error {
	return fault.New("", "", fmt.Sprintf("film of %g x %g mm with a margin of %g mm is too small for this chart", s.WidthMM, s.HeightMM, s.MarginMM),
		"use larger film: 4x5in is large enough for a check, A5 for most charts")
}

// WithInk returns the sheet with the ink colour of a ramp's end; see
// RampOptions.Device. With nil it is the sheet as it was.
func (s Sheet) WithInk(device func(inkPercent float64) [3]float64) Sheet {
	if device != nil {
		r := RampOptions{Device: device}
		s.InkColour = r.deviceAt(fullInk)
	}
	return s
}

// neutral reports whether the ink colour lies on the grey axis.
func (s *Sheet) neutral() bool {
	return s.InkColour[0] == s.InkColour[1] && s.InkColour[1] == s.InkColour[2]
}

// pages lays n patches out on the fewest pages, as evenly as they go, and
// returns the cells of each page and the marks among them.
func pagesOf(p *plan, n int) (pages [][]cell, marks []Mark, err error) {
	for count := 1; count <= mostPages; count++ {
		each := (n + count - 1) / count
		cells, marks, ok := layCells(p, each)
		if !ok {
			continue
		}
		for i := range count {
			pages = append(pages, cells[:n*(i+1)/count-n*i/count])
		}
		return pages, marks, nil
	}
	return nil, nil, fault.New("", "", fmt.Sprintf("%d patches take more than %d pages of this film", n, mostPages),
		"ask for fewer patches, or use larger film")
}
