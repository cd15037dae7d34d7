package sheet

// Side is what a negative asks of the whole sheet that it lies on.
type Side struct {
	InkUp   bool   // the film will lie ink side up
	Caution string // of its process
}

// LayoutSides is Layout for negatives of several kinds, sides one for each item.
// Those that lie ink side up have sheets of their own, after the others. A sheet
// whose negatives share a caution has that one, any other opts.Caution. The
// options that it returns are for Write.
func LayoutSides(items []Item, sides []Side, opts Options) ([]Page, Options, error) {
	var pages []Page
	opts.InkUp = len(sides) > 0 && sides[0].InkUp
	longest := longestCaution(sides, opts)
	for _, up := range []bool{false, true} {
		side, places := sideOf(items, sides, up)
		if len(side) == 0 && len(items) > 0 {
			continue
		}
		o := opts
		o.InkUp, o.Caution = up, longest
		more, err := Layout(side, o)
		if err != nil {
			return nil, opts, err
		}
		for i := range more {
			more[i].otherSide = up != opts.InkUp
			for j := range more[i].Placements {
				more[i].Placements[j].Index = places[more[i].Placements[j].Index]
			}
		}
		pages = append(pages, more...)
	}
	note(pages, sides, opts)
	return pages, opts, nil
}

// sideOf returns the items of one side, and where they stand among all.
func sideOf(items []Item, sides []Side, up bool) (side []Item, places []int) {
	for i, it := range items {
		if sides[i].InkUp == up {
			side, places = append(side, it), append(places, i)
		}
	}
	return side, places
}

// longestCaution is the one that needs the most of a sheet: room for it is room
// for any.
func longestCaution(sides []Side, opts Options) string {
	f := newFace()
	height := func(caution string) float64 {
		o := opts
		o.Caution = caution
		return planFooter(o, f, mostPages, mostPages).h
	}
	longest, most := opts.Caution, height(opts.Caution)
	seen := map[string]bool{}
	for _, s := range sides {
		if seen[s.Caution] {
			continue
		}
		seen[s.Caution] = true
		if h := height(s.Caution); h > most {
			longest, most = s.Caution, h
		}
	}
	return longest
}

// note numbers pages that were laid out apart and gives each its own notes, in
// the room that was left for the longest.
func note(pages []Page, sides []Side, opts Options) {
	f := newFace()
	for i := range pages {
		p := &pages[i]
		if p.Number, p.Count = i+1, len(pages); opts.Bare || p.bare {
			continue
		}
		o := opts
		o.InkUp = opts.InkUp != p.otherSide
		o.Caution = p.caution(sides, opts.Caution)
		room := p.footer.h
		p.footer = planFooter(o, f, p.Number, p.Count)
		p.footer.h = room
	}
}

// caution is that of all its negatives, or the general one.
func (p *Page) caution(sides []Side, general string) string {
	shared := sides[p.Placements[0].Index].Caution
	for _, pl := range p.Placements {
		if sides[pl.Index].Caution != shared {
			return general
		}
	}
	return shared
}

// Misfit is why one item, by its place among all, can't lie on the film.
type Misfit struct {
	Index int
	Err   error // a *fault.Error, under the item's name
}

// Misfits returns every item that LayoutSides would refuse, where that is not for
// the options' sake.
func Misfits(items []Item, sides []Side, opts Options) []Misfit {
	if opts.check() != nil {
		return nil
	}
	opts.Caution = longestCaution(sides, opts)
	l := newLayouter(opts)
	bare := opts
	bare.Bare = true
	whole := newLayouter(bare)
	var all []Misfit
	for i, it := range items {
		err := it.check()
		if err == nil {
			_, err = l.place(Placement{Item: it}, l.room())
		}
		if err != nil && it.Chart {
			_, err = whole.place(Placement{Item: it}, whole.room())
		}
		if err != nil {
			all = append(all, Misfit{i, err})
		}
	}
	return all
}
