package scan

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"actinic/negative/chart"
	"actinic/process/fault"
)

// plainScan is a good scan: no curl, little noise, a sheet with room about it.
func plainScan(page *chart.Page) bad {
	b := bad{
		seed: 5, pxPerMM: 150 / 25.4, turn: 3, shrinkX: 0.99, shrinkY: 0.985, offX: 0.5, offY: 0.4,
		light: true, black: 0.3, white: 0.85, paper: 0.92, lid: 0.97, gamma: 1, noise: 0.01, grain: 0.01,
	}
	b.bedWMM, b.bedHMM = page.WidthMM+25, page.HeightMM+25
	return b
}

func smallChart(seed uint64) (*chart.Chart, *chart.Page) {
	c := testChart(127, 177.8, seed)
	return c, &c.Pages[0]
}

func mustLocate(t *testing.T, p *Plane, c *chart.Chart) *Located {
	t.Helper()
	l, err := Locate(p, c)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// mustFail returns the user's error, which must hold all of some words.
func mustFail(t *testing.T, err error, words ...string) *fault.Error {
	t.Helper()
	var e *fault.Error
	if !errors.As(err, &e) {
		t.Fatalf("got %v, want an error for the user", err)
	}
	for _, w := range words {
		if !strings.Contains(e.Error(), w) {
			t.Errorf("%q does not say %q", e.Error(), w)
		}
	}
	if e.Hint == "" {
		t.Errorf("%q has no hint", e.Error())
	}
	return e
}

// A flat print: the aim is 0.1 mm at the patches.
func TestLocateFlatPrint(t *testing.T) {
	c, page := smallChart(1)
	for _, turn := range []float64{0, 10, 90, 183, -87, -10} {
		b := plainScan(page)
		b.turn = turn
		if math.Abs(math.Sin(turn*math.Pi/180)) > 0.5 {
			b.bedWMM, b.bedHMM = b.bedHMM, b.bedWMM
		}
		l := mustLocate(t, b.scan(page), c)
		if rms, _ := misplaced(l, page, &b); rms > 0.02 {
			t.Errorf("turned by %v: misplaced by %.3f mm rms", turn, rms)
		}
		if off := math.Abs(math.Remainder(l.AngleDegrees-turn, 360)); off > 0.05 || !l.CodeRead || l.Mirrored || len(l.Notices) > 0 {
			t.Errorf("turned by %v: angle %.2f, code read %v, mirrored %v, notices %q", turn, l.AngleDegrees, l.CodeRead, l.Mirrored, l.Notices)
		}
		if math.Abs(l.ScaleX/b.pxPerMM-0.99) > 5e-4 || math.Abs(l.ScaleY/b.pxPerMM-0.985) > 5e-4 {
			t.Errorf("turned by %v: scales %.4f and %.4f", turn, l.ScaleX/b.pxPerMM, l.ScaleY/b.pxPerMM)
		}
	}
}

func TestLocateMirroredPrint(t *testing.T) {
	c, page := smallChart(2)
	b := plainScan(page)
	b.mirrored, b.turn = true, 175
	b.light, b.black, b.white = false, b.white, b.black
	p := b.scan(page)
	for _, d := range []*chart.Chart{c, withoutCode(c)} {
		l := mustLocate(t, p, d)
		if rms, _ := misplaced(l, page, &b); !l.Mirrored || rms > 0.02 {
			t.Errorf("mirrored %v, misplaced by %.3f mm", l.Mirrored, rms)
		}
		if math.Abs(l.AngleDegrees-175) > 0.05 {
			t.Errorf("angle %.2f, want 175", l.AngleDegrees)
		}
	}
}

// lose leaves only some marks of a page on its print.
func (b *bad) lose(page *chart.Page, kept ...string) {
	for _, m := range page.Marks {
		if !slices.Contains(kept, m.ID) {
			b.missing = append(b.missing, m.ID)
		}
	}
}

func TestLocateFewMarks(t *testing.T) {
	c, page := smallChart(3)
	tests := []struct {
		name  string
		kept  []string
		coded bool
		want  []string // words of the error; none: it is found
	}{
		{"three and the code", []string{"tl", "br", "l2"}, true, nil},
		{"three without", []string{"tl", "br", "l2"}, false, []string{"marks tr, bl", "not found", "only marks tl, br and l2 were found", "another chart"}},
		{"four without the code", []string{"tr", "bl", "l1", "i1"}, false, nil},
		{"two and the code", []string{"tl", "br"}, true, []string{"marks tr, bl", "only marks tl and br were found, too few to say how the page lies"}},
		{"one side only", []string{"tl", "l1", "l2", "bl"}, true, []string{"marks tr, br", "not found", "marks tl, bl, l1 and l2 were found, too close to one line"}},
		{"none", nil, false, []string{"no three of the chart's marks", "tl"}},
	}
	for _, test := range tests {
		b := plainScan(page)
		b.lose(page, test.kept...)
		d := c
		if !test.coded {
			d = withoutCode(c)
		}
		l, err := Locate(b.scan(page), d)
		if test.want != nil {
			if err == nil {
				t.Errorf("%s: located", test.name)
				continue
			}
			mustFail(t, err, test.want...)
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if rms, _ := misplaced(l, page, &b); rms > 0.1 {
			t.Errorf("%s: misplaced by %.3f mm", test.name, rms)
		}
		for _, m := range l.Marks {
			if m.Found != slices.Contains(test.kept, m.ID) {
				t.Errorf("%s: mark %s found: %v", test.name, m.ID, m.Found)
			}
		}
	}
}

// The four corners alone look the same upside down and from the back: without
// the code only the patches tell.
func TestLocateFourCorners(t *testing.T) {
	c, page := smallChart(4)
	b := plainScan(page)
	b.turn = 184
	b.lose(page, "tl", "tr", "bl", "br")
	p := b.scan(page)
	for _, d := range []*chart.Chart{c, withoutCode(c)} {
		l := mustLocate(t, p, d)
		if rms, _ := misplaced(l, page, &b); rms > 0.1 || l.Mirrored {
			t.Errorf("misplaced by %.3f mm, mirrored %v", rms, l.Mirrored)
		}
	}
	bare := withoutCode(c)
	bare.Pages[0].Patches = nil
	_, err := Locate(p, bare)
	mustFail(t, err, "more than one way", "marks t1, b1", "not found")
}

func TestLocateAnotherChart(t *testing.T) {
	_, page := smallChart(5)
	other, _ := smallChart(6) // the same marks, other patches
	b := plainScan(page)
	p := b.scan(page)
	_, err := Locate(p, other)
	mustFail(t, err, "the code on the print is "+page.Code+", the chart's is "+other.Pages[0].Code)

	large := testChart(210, 297, 7)
	_, err = Locate(p, large)
	mustFail(t, err, "the code on the print is "+page.Code+", the chart's is "+large.Pages[0].Code)

	_, err = Locate(p, withoutCode(other)) // only the patches can tell
	mustFail(t, err, "the patches do not follow the chart's")
}

// A code that is half gone still tells one of the chart's pages, and one that is
// all gone leaves a notice.
func TestLocateSpoiltCode(t *testing.T) {
	c, page := smallChart(8)
	b := plainScan(page)
	p := b.scan(page)
	box := *page.CodeBox
	smudge := func(share float64) {
		b.overPlane(page, p, box.XMM, box.YMM, box.XMM+share*box.WidthMM, box.YMM+box.HeightMM, 0.5)
	}
	smudge(0.38)
	if l := mustLocate(t, p, c); !l.CodeRead {
		t.Errorf("a code of which a third is gone was not read")
	}
	smudge(1)
	l := mustLocate(t, p, c)
	if l.CodeRead || len(l.Notices) != 1 || !strings.Contains(l.Notices[0], page.Code) {
		t.Errorf("code read %v, notices %q", l.CodeRead, l.Notices)
	}
}

// Films of like proportions have like marks, only larger: a small print is not
// taken for a large chart's, though its marks fit, for want of the code's square.
func TestLocateLikeChartOfAnotherSize(t *testing.T) {
	c, page := smallChart(22)
	large := testChart(148, 210, 23)
	grow := large.Pages[0].Marks[0].DiameterMM / page.Marks[0].DiameterMM
	large.Pages[0].Marks = slices.Clone(page.Marks)
	for i := range large.Pages[0].Marks {
		m := &large.Pages[0].Marks[i]
		m.XMM, m.YMM, m.DiameterMM = m.XMM*grow, m.YMM*grow, m.DiameterMM*grow
	}
	large.Pages[0].Patches = nil
	large.Pages[0].CodeBox = &chart.Rect{XMM: 100, YMM: 140, WidthMM: 14.7, HeightMM: 14.7}
	b := plainScan(page)
	p := b.scan(page)
	// With its own code gone there is nothing else to tell it by.
	box := *page.CodeBox
	b.overPlane(page, p, box.XMM-3, box.YMM-3, box.XMM+box.WidthMM+3, box.YMM+box.HeightMM+3, 0.3)
	_, err := Locate(p, large)
	mustFail(t, err, "the marks fit, but the chart's code is not where it should be")
	if l := mustLocate(t, b.scan(page), c); !l.CodeRead {
		t.Error("the code was not read")
	}
}

// overPlane sets the root of a rectangle of the page.
func (b *bad) overPlane(page *chart.Page, p *Plane, x0, y0, x1, y1, root float64) {
	to := b.map0(page)
	for y := range p.Height {
		for x := range p.Width {
			if u, v := to.ToPage(Point{float64(x) + 0.5, float64(y) + 0.5}); u >= x0 && u < x1 && v >= y0 && v < y1 {
				p.Root[y*p.Width+x] = uint16(root * 65535)
			}
		}
	}
}

// Pages of one chart with the same marks are told apart by the code, and without
// it by their patches; without either they are not.
func TestLocatePages(t *testing.T) {
	c, _ := smallChart(9)
	second, _ := smallChart(10)
	third := testChart(101.6, 127, 11)
	c.Pages = append(c.Pages, second.Pages[0], third.Pages[0])
	blank := withoutCode(c)
	for i := range blank.Pages {
		blank.Pages[i].Patches = nil
	}
	for i := range c.Pages {
		page := &c.Pages[i]
		b := plainScan(page)
		p := b.scan(page)
		for _, d := range []*chart.Chart{c, withoutCode(c)} {
			if l := mustLocate(t, p, d); l.Page != i {
				t.Errorf("page %d was taken for %d", i, l.Page)
			}
		}
		l, err := Locate(p, blank)
		if i == 2 { // the only page with these marks
			if err != nil || l.Page != 2 {
				t.Errorf("page 2 by its marks alone: %v", err)
			}
			continue
		}
		mustFail(t, err, "page 1", "page 2", "code")
	}
}

func TestLocateTooSmall(t *testing.T) {
	c, _ := smallChart(12)
	_, err := Locate(&Plane{Width: 1, Height: 1, Reduced: 1, Root: make([]uint16, 1)}, c)
	mustFail(t, err, "1 x 1 pixels")
}

func TestLocateCorners(t *testing.T) {
	c, page := smallChart(13)
	b := plainScan(page)
	b.missing = []string{"tl", "t1", "l1"}
	p := b.scan(page)
	var corners [4]Point
	for i, id := range cornerIDs {
		for _, m := range page.Marks {
			if m.ID == id {
				at := b.truth(page, m.XMM, m.YMM)
				corners[i] = Point{at.X + 6*float64(i%2), at.Y - 5}
			}
		}
	}
	l, err := LocateCorners(p, c, corners)
	if err != nil {
		t.Fatal(err)
	}
	if rms, _ := misplaced(l, page, &b); rms > 0.3 || !l.CodeRead || l.Mirrored {
		t.Errorf("misplaced by %.3f mm, code read %v, mirrored %v", rms, l.CodeRead, l.Mirrored)
	}
	for _, m := range l.Marks {
		if m.Found == slices.Contains(b.missing, m.ID) {
			t.Errorf("mark %s found: %v", m.ID, m.Found)
		}
	}
	turned := [4]Point{corners[2], corners[3], corners[0], corners[1]}
	_, err = LocateCorners(p, c, turned)
	if e := mustFail(t, err, "the patches do not follow"); e.Hint != cornersHint {
		t.Errorf("hint %q", e.Hint)
	}
	swapped := [4]Point{corners[1], corners[2], corners[3], corners[0]}
	_, err = LocateCorners(p, c, swapped)
	mustFail(t, err, "do not form the chart's page")
	corners[2].X = -3
	_, err = LocateCorners(p, c, corners)
	mustFail(t, err, "corner br", "outside")
}

// Wet paper, page scaling and a wrong resolution are told apart.
func TestSize(t *testing.T) {
	tests := []struct {
		across, down float64
		known        bool
		want         string
	}{
		{0.990, 0.981, true, ""},
		{0.950, 0.953, true, "95.2 % of the chart's size in both directions: page scaling in the printing program"},
		{1.030, 1.028, true, "102.9 % of the chart's size in both directions"},
		{0.950, 0.985, true, "95.0 % of the chart's width and 98.5 % of its height"},
		{0.500, 0.501, false, "the stated resolution cannot be right"},
	}
	for _, test := range tests {
		nominal := 300.0 / 25.4 / 2
		l := &Located{ScaleX: test.across * nominal, ScaleY: test.down * nominal}
		r := l.Size(&Plane{Reduced: 2, PPI: 300})
		text := strings.Join(r.Notices, " ")
		if r.Known != test.known || !strings.Contains(text, test.want) || (test.want == "") != (text == "") {
			t.Errorf("%v x %v: known %v, %q", test.across, test.down, r.Known, text)
		}
		if math.Abs(r.Across-test.across) > 1e-12 || math.Abs(r.Down-test.down) > 1e-12 {
			t.Errorf("%v x %v: got %v x %v", test.across, test.down, r.Across, r.Down)
		}
	}
	if r := (&Located{ScaleX: 1, ScaleY: 1}).Size(&Plane{Reduced: 1}); r.Known || len(r.Notices) > 0 {
		t.Errorf("judged without a resolution: %+v", r)
	}
}

// How much the patches must follow their inks goes by what chance gives, one
// over the root of their number (Spearman's rank correlation, from memory).
func TestFollowing(t *testing.T) {
	tests := []struct {
		f                     following
		contradicts, tellsNil bool
	}{
		{following{0.9, 100}, false, true},
		{following{0.25, 200}, false, true},
		{following{0.1, 200}, true, false},
		{following{0.2, 900}, false, true},
		{following{0.25, 8}, true, false},
		{following{-1, 7}, false, false}, // too few to say anything
	}
	for _, test := range tests {
		if got := test.f.contradicts(); got != test.contradicts {
			t.Errorf("%+v contradicts: %v", test.f, got)
		}
		if got := test.f.clearlyAbove(following{0, test.f.patches}); got != test.tellsNil {
			t.Errorf("%+v is clearly above none: %v", test.f, got)
		}
	}
	if r := correlation(ranks([]float64{1, 2, 2, 9}), ranks([]float64{10, 20, 20, 21})); math.Abs(r-1) > 1e-12 {
		t.Errorf("equal orders correlate by %v", r)
	}
}
