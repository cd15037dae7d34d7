package sheet

import (
	"errors"
	"math"
	"strings"
	"testing"

	"actinic/process/fault"

	"pgregory.net/rapid"
)

func film(t testing.TB, name string) Film {
	t.Helper()
	f, err := ParseFilm(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func testOptions(t testing.TB, filmName string) Options {
	return Options{Film: film(t, filmName), GapMM: 5, Rulers: true,
		Caution: "Follow the supplier's safety data sheet, local rules and licensed practice, which take precedence."}
}

func testStrip(n int) *Strip {
	s := &Strip{Stop: [2]int{3, 4}}
	for i := range n {
		v := float64(i) / float64(n-1)
		s.Patches = append(s.Patches, Patch{Device: [3]float64{1 - v, 1 - v, 1 - v}})
	}
	return s
}

func item(widthMM, heightMM float64) Item {
	return Item{WidthMM: widthMM, HeightMM: heightMM, Label: Label{Name: "Quay", Process: "cyanotype", Date: "2026-03-04", Calibration: "attic.calibration.json"}}
}

// An 8 x 10 in negative with all that a negative can have goes on A4, the most
// usual film for it; so does one lying, and without strip on letter.
func TestUsualSizesFit(t *testing.T) {
	full := item(203.2, 254)
	full.Marks, full.Strip = true, testStrip(21)
	lying := full
	lying.WidthMM, lying.HeightMM = 254, 203.2
	for _, c := range []struct {
		film   string
		it     Item
		turned bool
	}{
		{"A4", full, false}, {"A4", lying, true}, {"letter", item(203.2, 254), false}, {"8x10in", item(180, 210), false},
		{"4x5in", item(60, 60), false}, {"A3", lying, false},
	} {
		pages, err := Layout([]Item{c.it}, testOptions(t, c.film))
		if err != nil {
			t.Errorf("%s: %v", c.film, err)
			continue
		}
		if p := pages[0].Placements[0]; p.Turned != c.turned {
			t.Errorf("%s: turned %v", c.film, p.Turned)
		}
	}
}

func TestTooLarge(t *testing.T) {
	it := item(254, 305)
	it.Marks = true
	_, err := Layout([]Item{item(50, 50), it}, testOptions(t, "A4"))
	var f *fault.Error
	if !errors.As(err, &f) {
		t.Fatalf("got %v, want *fault.Error", err)
	}
	for _, want := range []string{"254 x 305 mm", "A4, 210 x 297 mm", "has room for 204 x"} {
		if !strings.Contains(f.What, want) {
			t.Errorf("%q does not say %q", f.What, want)
		}
	}
	// 254 + margins 6 needs 260 x 305 + marks and footer: the first named film
	// at least as large is 11x14in, 279.4 x 355.6 mm.
	if !strings.Contains(f.Hint, "11x14in") || !strings.Contains(f.Hint, "marks") {
		t.Errorf("hint %q", f.Hint)
	}
}

func TestRefusals(t *testing.T) {
	opts := testOptions(t, "A4")
	bad := func(change func(*Item)) Item {
		it := item(50, 50)
		change(&it)
		return it
	}
	for what, c := range map[string]struct {
		items []Item
		opts  func(*Options)
	}{
		"no items":      {nil, nil},
		"no width":      {[]Item{item(0, 10)}, nil},
		"not a size":    {[]Item{item(math.NaN(), 10)}, nil},
		"endless":       {[]Item{item(math.Inf(1), 10)}, nil},
		"edge of 0 mm":  {[]Item{bad(func(i *Item) { i.Edge.Kind = EdgeOpaque })}, nil},
		"edge values":   {[]Item{bad(func(i *Item) { i.Edge = Edge{EdgeOpaque, 5, [3]float64{0, 0, 2}} })}, nil},
		"empty strip":   {[]Item{bad(func(i *Item) { i.Strip = &Strip{} })}, nil},
		"patch values":  {[]Item{bad(func(i *Item) { i.Strip = testStrip(5); i.Strip.Patches[1].Device[0] = -0.1 })}, nil},
		"strip's pair":  {[]Item{bad(func(i *Item) { i.Strip = testStrip(5); i.Strip.Stop = [2]int{3, 5} })}, nil},
		"pair's number": {[]Item{bad(func(i *Item) { i.Strip = testStrip(3) })}, nil},
		"gap":           {[]Item{item(50, 50)}, func(o *Options) { o.GapMM = -1 }},
		"film":          {[]Item{item(50, 50)}, func(o *Options) { o.Film = Film{} }},
		"margin":        {[]Item{item(50, 50)}, func(o *Options) { o.Film.MarginMM = 105 }},
	} {
		o := opts
		if c.opts != nil {
			c.opts(&o)
		}
		var f *fault.Error
		if _, err := Layout(c.items, o); !errors.As(err, &f) {
			t.Errorf("%s: got %v, want *fault.Error", what, err)
		}
	}
}

// Bare pages hold a picture of the film's own size, at its corner.
func TestBareReachesTheEdge(t *testing.T) {
	opts := testOptions(t, "A4")
	opts.Bare = true
	pages, err := Layout([]Item{item(210, 297)}, opts)
	if err != nil {
		t.Fatal(err)
	}
	if p := pages[0].Placements[0]; math.Abs(p.XMM)+math.Abs(p.YMM) > 1e-9 || len(pages[0].rulers) > 0 {
		t.Errorf("at %g, %g with %d rulers", p.XMM, p.YMM, len(pages[0].rulers))
	}
}

func overlap(a, b rect) bool {
	const slack = 1e-6
	return a.x < b.right()-slack && b.x < a.right()-slack && a.y < b.bottom()-slack && b.y < a.bottom()-slack
}

// rulerRect is what a ruler covers.
func rulerRect(r ruler) rect {
	depth, end := rulerDepthMM, 0.7
	if r.bare {
		depth, end = bareDepthMM, 0.1
	}
	if r.upright {
		return rect{r.x - 0.1, r.y - end, depth, r.lengthMM + 2*end}
	}
	return rect{r.x - rulerEndMM, r.y, r.lengthMM + 2*rulerEndMM, depth}
}

// Whatever is placed: each item once, at its size, inside the margins;
// nothing lies on anything else.
func TestNothingOverlaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opts := Options{Film: rapid.SampledFrom(films[2:]).Draw(t, "film"), GapMM: rapid.Float64Range(0, 12).Draw(t, "gap"), Rulers: rapid.Bool().Draw(t, "rulers"), Caution: "Take care of eyes and hands.",
			work: 20_000, NoTurn: rapid.Bool().Draw(t, "no turn"), InOrder: rapid.Bool().Draw(t, "in order"), CutMarks: rapid.Bool().Draw(t, "cut marks")}
		opts.Film.Roll = rapid.Bool().Draw(t, "roll")
		var items []Item
		for range rapid.IntRange(1, 12).Draw(t, "count") {
			it := item(rapid.Float64Range(5, 110).Draw(t, "w"), rapid.Float64Range(5, 110).Draw(t, "h"))
			it.Chart = rapid.IntRange(0, 5).Draw(t, "chart") == 0
			it.Marks = rapid.Bool().Draw(t, "marks")
			it.Edge = Edge{Kind: EdgeKind(rapid.IntRange(0, 2).Draw(t, "edge")), WidthMM: rapid.Float64Range(0.1, 10).Draw(t, "edgeMM")}
			if n := rapid.IntRange(3, 21).Draw(t, "patches"); n > 3 {
				it.Strip = testStrip(n)
			}
			items = append(items, it)
		}
		pages, err := Layout(items, opts)
		if err != nil {
			var f *fault.Error
			if !errors.As(err, &f) {
				t.Fatalf("Layout: %v", err)
			}
			return
		}
		checkPages(t, items, pages, opts)
	})
}

func checkPages(t *rapid.T, items []Item, pages []Page, opts Options) {
	seen := map[int]bool{}
	for i, p := range pages {
		if p.Number != i+1 || p.Count != len(pages) {
			t.Fatalf("page %d says %d of %d", i+1, p.Number, p.Count)
		}
		if p.HeightMM > opts.Film.HeightMM || !opts.Film.Roll && p.HeightMM != opts.Film.HeightMM {
			t.Fatalf("page %d is %g mm long, the film %g", i+1, p.HeightMM, opts.Film.HeightMM)
		}
		inner := rect{0, 0, opts.Film.WidthMM, p.HeightMM}.grow(1e-6)
		if !p.bare {
			inner = inner.grow(-opts.Film.MarginMM)
		}
		covered := []rect{{inner.x, inner.bottom() - p.footer.h + rulerDepthMM, inner.w, p.footer.h - rulerDepthMM}}
		for _, r := range p.rulers {
			covered = append(covered, rulerRect(r))
		}
		for _, pl := range p.Placements {
			r := pl.rect()
			if r.x < inner.x || r.y < inner.y || r.right() > inner.right() || r.bottom() > inner.bottom() {
				t.Fatalf("block %v leaves the film's %v", r, inner)
			}
			if seen[pl.Index] {
				t.Fatalf("item %d is placed twice", pl.Index)
			}
			seen[pl.Index] = true
			want := items[pl.Index]
			if pl.Turned {
				want.WidthMM, want.HeightMM = want.HeightMM, want.WidthMM
			}
			if math.Abs(pl.WidthMM-want.WidthMM) > 1e-9 || math.Abs(pl.HeightMM-want.HeightMM) > 1e-9 {
				t.Fatalf("picture is %g x %g mm, want %g x %g", pl.WidthMM, pl.HeightMM, want.WidthMM, want.HeightMM)
			}
			if pl.Turned && opts.NoTurn {
				t.Fatalf("item %d is turned", pl.Index)
			}
			covered = append(covered, r)
		}
		checkCuts(t, p, opts)
		for a := range covered {
			for b := range a {
				if overlap(covered[a], covered[b]) {
					t.Fatalf("page %d: %v lies on %v", i+1, covered[a], covered[b])
				}
			}
		}
	}
	if len(seen) != len(items) {
		t.Fatalf("%d of %d items placed", len(seen), len(items))
	}
}

func TestNoticesSayWhatIsMissing(t *testing.T) {
	it := item(60, 60)
	it.Label.Name = "\U0001F600"
	pages, err := Layout([]Item{it}, testOptions(t, "4x5in"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(pages[0].Notices, "; ")
	for _, want := range []string{"50 mm", "empty box"} {
		if !strings.Contains(text, want) {
			t.Errorf("notices %q do not say %q", text, want)
		}
	}
}

// checkCuts finds all cut marks and lines outside the blocks, on the film.
func checkCuts(t *rapid.T, p Page, opts Options) {
	film := rect{0, 0, opts.Film.WidthMM, p.HeightMM}
	for _, k := range p.cuts {
		line := rect{min(k.x1, k.x2), min(k.y1, k.y2), max(k.x1-k.x2, k.x2-k.x1), max(k.y1-k.y2, k.y2-k.y1)}
		if line.x < 0 || line.y < 0 || line.right() > film.w || line.bottom() > film.h {
			t.Fatalf("cut %v leaves the film", k)
		}
		for _, pl := range p.Placements {
			if overlap(line.grow(2e-6), pl.rect()) {
				t.Fatalf("cut %v runs through the block at %v", k, pl.rect())
			}
		}
	}
}
