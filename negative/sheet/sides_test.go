package sheet

import (
	"strings"
	"testing"

	"actinic/testdata/outside"
)

// Negatives of both sides get sheets of their own, numbered together, each with
// the note of its side and its own mirror; every item keeps its number.
func TestLayoutSides(t *testing.T) {
	var items []Item
	var sides []Side
	inkUp := []bool{true, false, true, false}
	for i := range inkUp {
		sides = append(sides, Side{inkUp[i], "care with one"})
		it := item(150, 100)
		it.Person = "person " + itoa(i)
		it.Open = open(imageForm{150, 100, 1, 8}, func(int, int, int) uint16 { return 0xFFFF })
		items = append(items, it)
	}
	pages, opts, err := LayoutSides(items, sides, testOptions(t, "A4"))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[int]bool{}
	for i, p := range pages {
		if p.Number != i+1 || p.Count != len(pages) {
			t.Errorf("sheet %d of %d, want %d of %d", p.Number, p.Count, i+1, len(pages))
		}
		for _, pl := range p.Placements {
			if inkUp[pl.Index] != inkUp[p.Placements[0].Index] {
				t.Errorf("sheet %d has both sides", p.Number)
			}
			if seen[pl.Index] || pl.Item.Person != items[pl.Index].Person {
				t.Errorf("item %d is %s", pl.Index, pl.Item.Person)
			}
			seen[pl.Index] = true
		}
	}
	if len(seen) != len(items) {
		t.Fatalf("%d of %d items placed", len(seen), len(items))
	}
	texts := strings.Split(string(outside.Run(t, "pdftotext", "poppler-utils", saved(t, pages, opts), "-")), "\f")
	for i, p := range pages {
		note, other := noteInkDown, noteInkUp
		if inkUp[p.Placements[0].Index] {
			note, other = other, note
		}
		if text := letters(texts[i]); !strings.Contains(text, letters(note)) || strings.Contains(text, letters(other)) {
			t.Errorf("sheet %d does not say %q alone", i+1, note)
		}
	}
}

func TestLayoutSidesOfOneKind(t *testing.T) {
	for _, up := range []bool{false, true} {
		_, opts, err := LayoutSides([]Item{item(60, 40)}, []Side{{InkUp: up}}, testOptions(t, "A4"))
		if err != nil || opts.InkUp != up {
			t.Errorf("ink up %v: %v, %v", up, opts.InkUp, err)
		}
	}
	if _, _, err := LayoutSides(nil, nil, testOptions(t, "A4")); err == nil {
		t.Error("nothing was laid out")
	}
}

// A sheet of one process has its caution, a mixed one the general one; no note
// moves.
func TestCautionOfEachSheet(t *testing.T) {
	long := strings.Repeat("care with two ", 30)
	var items []Item
	var sides []Side
	for _, caution := range []string{"care with one", "care with one", "care with one", long} {
		it := item(180, 120)
		it.Open = open(imageForm{180, 120, 1, 8}, func(int, int, int) uint16 { return 0xFFFF })
		items, sides = append(items, it), append(sides, Side{Caution: caution})
	}
	opts := testOptions(t, "A4")
	opts.Caution, opts.InOrder = "care in general", true
	pages, opts, err := LayoutSides(items, sides, opts)
	if err != nil || len(pages) != 2 {
		t.Fatalf("%d sheets, %v", len(pages), err)
	}
	texts := strings.Split(string(outside.Run(t, "pdftotext", "poppler-utils", saved(t, pages, opts), "-")), "\f")
	for i, want := range []string{"care with one", "care in general"} {
		if !strings.Contains(letters(texts[i]), letters(want)) {
			t.Errorf("sheet %d does not say %q", i+1, want)
		}
		if strings.Contains(letters(texts[i]), letters("care with two")) {
			t.Errorf("sheet %d has the caution of another", i+1)
		}
		if got, want := pages[i].footer.h, pages[0].footer.h; got != want || got < planFooter(Options{Film: opts.Film, Caution: long, Rulers: opts.Rulers}, newFace(), 9, 9).h {
			t.Errorf("sheet %d leaves %g mm for notes", i+1, got)
		}
	}
}
