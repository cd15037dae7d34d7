package chart

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"actinic/process/fault"
)

// thing is what takes place on a page.
type thing struct {
	name string
	at   box
}

// things lists all that must not overlap, with the clear film that each needs.
func things(p *Page) []thing {
	var all []thing
	for _, m := range p.Marks {
		all = append(all, thing{"mark " + m.ID, around(um(m.XMM), um(m.YMM), um(m.DiameterMM*MarkClear))})
	}
	for _, q := range p.Patches {
		all = append(all, thing{"patch " + q.ID, q.Rect.box()})
	}
	if p.TabletWindow != nil {
		all = append(all, thing{"window", p.TabletWindow.box()})
	}
	code := p.CodeBox.box()
	return append(all, thing{"tape box", p.OpaqueBox.box()}, thing{"code", code.grow(quietModules * code.w / modules)})
}

// TestNothingOverlapsOnAnyFilm: every kind of chart on every film: all pieces
// lie inside the margin and apart, or the film is refused in words.
func TestNothingOverlapsOnAnyFilm(t *testing.T) {
	for _, f := range films {
		for kind, newChart := range makers {
			c, err := newChart(sheetOf(f.w, f.h))
			if refused := kind == "exposure" && f.name == "4x5 lying"; (err != nil) != refused {
				t.Errorf("%s on %s: %v", kind, f.name, err)
			}
			if err != nil {
				continue
			}
			for i := range c.Pages {
				checkPage(t, fmt.Sprintf("%s on %s, page %d", kind, f.name, i+1), &c.Pages[i])
			}
		}
	}
}

func checkPage(t *testing.T, name string, p *Page) {
	t.Helper()
	inside := box{0, 0, um(p.WidthMM), um(p.HeightMM)}.grow(-6000)
	all := things(p)
	for i, a := range all {
		if !inside.holds(a.at) {
			t.Errorf("%s: %s at %v leaves the margin", name, a.name, a.at)
		}
		for _, b := range all[:i] {
			if a.at.meets(b.at) {
				t.Errorf("%s: %s meets %s", name, a.name, b.name)
			}
		}
	}
	for _, q := range p.Patches {
		if q.WidthMM < 5.3 || q.HeightMM < 5.3 {
			t.Errorf("%s: patch %s is %g x %g mm", name, q.ID, q.WidthMM, q.HeightMM)
		}
	}
}

// TestMarginStaysClear looks at the pixels: nothing is drawn where the printer
// can't reach.
func TestMarginStaysClear(t *testing.T) {
	for _, f := range films {
		for kind, newChart := range makers {
			s := sheetOf(f.w, f.h)
			s.PPI, s.MarginMM = 100, 9
			c, err := newChart(s)
			if err != nil {
				if f.name[:3] != "4x5" {
					t.Errorf("%s on %s: %v", kind, f.name, err)
				}
				continue
			}
			rows := drawn(t, c, len(c.Pages)-1)
			margin, channels := 35, Draw(c, 0).Header().Channels
			for y, row := range rows {
				for i, v := range row {
					x := i / channels
					edge := min(x, y, len(row)/channels-1-x, len(rows)-1-y)
					if v != 65535 && edge < margin {
						t.Fatalf("%s on %s: ink at pixel %d, %d, inside the margin of %d", kind, f.name, x, y, margin) // 9 mm at 100 ppi: 35.4 pixels
					}
				}
			}
		}
	}
}

// TestMarksTellEveryTurnApart: neither a turn nor a mirror of the page, nor one
// of its transpose where the film is nearly square, lays all marks on marks.
func TestMarksTellEveryTurnApart(t *testing.T) {
	const apartMM = 6
	for _, f := range films {
		for kind, newChart := range makers {
			c, err := newChart(sheetOf(f.w, f.h))
			if err != nil {
				continue // TestNothingOverlapsOnAnyFilm says which
			}
			p := &c.Pages[0]
			for turn := 1; turn < 8; turn++ {
				if strays := strayMarks(p, turn, apartMM); strays < 2 {
					t.Errorf("%s on %s: %d marks stray in turn %d, want 2 at least", kind, f.name, strays, turn)
				}
			}
		}
	}
}

func must2(t *testing.T, newChart func(Sheet) (*Chart, error), s Sheet) *Chart {
	t.Helper()
	c, err := newChart(s)
	return must(t, c, err)
}

// strayMarks counts the marks that a symmetry of the page, stretched to its
// shape, takes to a place without a mark.
func strayMarks(p *Page, turn int, apartMM float64) int {
	strays := 0
	for _, m := range p.Marks {
		x, y := m.XMM, m.YMM
		if turn&4 != 0 {
			x, y = y*p.WidthMM/p.HeightMM, x*p.HeightMM/p.WidthMM
		}
		if turn&1 != 0 {
			x = p.WidthMM - x
		}
		if turn&2 != 0 {
			y = p.HeightMM - y
		}
		nearest := math.Inf(1)
		for _, o := range p.Marks {
			nearest = math.Min(nearest, math.Hypot(o.XMM-x, o.YMM-y))
		}
		if nearest > apartMM {
			strays++
		}
	}
	return strays
}

// TestEveryEdgeHasMarks: one mark at least between the corners of each edge, and
// no stretch of an edge without one for more than 130 mm.
func TestEveryEdgeHasMarks(t *testing.T) {
	for _, f := range films {
		c := must2(t, makers["ramp"], sheetOf(f.w, f.h))
		for _, edge := range []struct {
			id, from, to string
			along        func(Mark) float64
		}{
			{"t", "tl", "tr", func(m Mark) float64 { return m.XMM }}, {"b", "bl", "br", func(m Mark) float64 { return m.XMM }},
			{"l", "tl", "bl", func(m Mark) float64 { return m.YMM }}, {"r", "tr", "br", func(m Mark) float64 { return m.YMM }},
		} {
			last, end, n := 0.0, 0.0, 0
			for _, m := range c.Pages[0].Marks {
				switch {
				case m.ID == edge.from:
					last = edge.along(m)
				case m.ID == edge.to:
					end = edge.along(m)
				}
			}
			for _, m := range c.Pages[0].Marks {
				if m.ID[0] == edge.id[0] && m.ID[1] <= '9' {
					if at := edge.along(m); at-last > 130 || at <= last {
						t.Errorf("%s: mark %s at %g after %g", f.name, m.ID, at, last)
					}
					last = edge.along(m)
					n++
				}
			}
			if n == 0 || end-last > 130 || end <= last {
				t.Errorf("%s: edge %s has %d marks, the last at %g of %g", f.name, edge.id, n, last, end)
			}
		}
	}
}

// TestManyColours: 924 patches go on one A4 and 2000 on two, with everything
// else (common practice, no source).
func TestManyColours(t *testing.T) {
	for _, c := range []struct{ patches, pages int }{{924, 1}, {2000, 2}, {200, 1}, {1, 1}, {5000, 5}} {
		s := sheetOf(210, 297)
		s.Window = Window{WidthMM: 130, HeightMM: 30}
		made, err := NewColours(ColoursOptions{Sheet: s, Patches: c.patches})
		must(t, made, err)
		if len(made.Pages) != c.pages {
			t.Errorf("%d patches take %d pages, want %d", c.patches, len(made.Pages), c.pages)
		}
		n := 0
		for i := range made.Pages {
			checkPage(t, fmt.Sprint(c.patches, " colours"), &made.Pages[i])
			n += len(made.Pages[i].Patches) - 8
			if made.Pages[i].TabletWindow.WidthMM != 130 {
				t.Errorf("page %d has a window of %v", i+1, made.Pages[i].TabletWindow)
			}
			if d := len(made.Pages[i].Patches) - len(made.Pages[0].Patches); d < -1 || d > 1 {
				t.Errorf("page %d has %d patches more than the first", i+1, d)
			}
		}
		if n != c.patches {
			t.Errorf("%d patches asked, %d made", c.patches, n)
		}
	}
}

// TestWindow: what is asked is made or refused, what is not asked is fitted.
func TestWindow(t *testing.T) {
	for _, c := range []struct {
		name       string
		w, h       float64
		window     Window
		wide, high float64
		notice     bool
		refused    bool
	}{
		{"as asked", 210, 297, Window{WidthMM: 140, HeightMM: 25}, 140, 25, false, false},
		{"turned", 148, 210, Window{WidthMM: 130, HeightMM: 30}, 30, 130, false, false},
		{"asked upright", 210, 297, Window{WidthMM: 30, HeightMM: 130}, 30, 130, false, false},
		{"none", 210, 297, Window{None: true}, 0, 0, false, false},
		{"usual", 210, 297, Window{}, 130, 30, false, false},
		{"shrunk", 101.6, 127, Window{}, 30, 90, true, false},
		{"asked too large", 101.6, 127, Window{WidthMM: 130, HeightMM: 30}, 0, 0, false, true},
		{"no size", 210, 297, Window{WidthMM: 130}, 0, 0, false, true},
	} {
		s := sheetOf(c.w, c.h)
		s.Window = c.window
		made, err := NewRamp(RampOptions{Sheet: s, Levels: 21, Repeats: 1})
		if c.refused {
			var f *fault.Error
			if !errors.As(err, &f) || f.Hint == "" {
				t.Errorf("%s: %v, want a fault with a hint", c.name, err)
			}
			continue
		}
		must(t, made, err)
		var got Rect
		if w := made.Pages[0].TabletWindow; w != nil {
			got = *w
		}
		if got.WidthMM != c.wide || got.HeightMM != c.high || (len(made.Notices) > 0) != c.notice {
			t.Errorf("%s: window %v, notices %q", c.name, got, made.Notices)
		}
	}
}

func TestRefusals(t *testing.T) {
	good := sheetOf(210, 297)
	change := func(do func(*Sheet)) Sheet { s := good; do(&s); return s }
	for name, make := range map[string]func() (*Chart, error){
		"tiny film":     func() (*Chart, error) { return makers["ramp"](sheetOf(40, 50)) },
		"strip of film": func() (*Chart, error) { return makers["ramp"](sheetOf(60, 400)) },
		"no film":       func() (*Chart, error) { return makers["tablet"](Sheet{}) },
		"not a number":  func() (*Chart, error) { return makers["check"](sheetOf(math.NaN(), 297)) },
		"huge film":     func() (*Chart, error) { return makers["ramp"](sheetOf(5000, 5000)) },
		"no resolution": func() (*Chart, error) { return makers["ramp"](change(func(s *Sheet) { s.PPI = 0 })) },
		"margin":        func() (*Chart, error) { return makers["ramp"](change(func(s *Sheet) { s.MarginMM = -1 })) },
		"ink colour":    func() (*Chart, error) { return makers["ramp"](change(func(s *Sheet) { s.InkColour[1] = 256 })) },
		"one level":     func() (*Chart, error) { return NewRamp(RampOptions{Sheet: good, Levels: 1, Repeats: 1}) },
		"257 levels":    func() (*Chart, error) { return NewRamp(RampOptions{Sheet: good, Levels: 257, Repeats: 1}) },
		"no repeat":     func() (*Chart, error) { return NewRamp(RampOptions{Sheet: good, Levels: 5}) },
		"no patch":      func() (*Chart, error) { return NewColours(ColoursOptions{Sheet: good}) },
		"5001 patches":  func() (*Chart, error) { return NewColours(ColoursOptions{Sheet: good, Patches: 5001}) },
		"no exposures":  func() (*Chart, error) { return NewExposure(ExposureOptions{Sheet: good}) },
		"falling": func() (*Chart, error) {
			e := steps()
			e[0], e[1] = e[1], e[0]
			return NewExposure(ExposureOptions{Sheet: good, Steps: e})
		},
		"white ink": func() (*Chart, error) {
			return makers["ramp"](change(func(s *Sheet) { s.InkColour = [3]float64{255, 255, 255} }))
		},
	} {
		c, err := make()
		var f *fault.Error
		if c != nil || !errors.As(err, &f) {
			t.Errorf("%s: %v, %v; want *fault.Error", name, c, err)
		}
	}
}
