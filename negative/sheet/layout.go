package sheet

import (
	"fmt"

	"actinic/process/fault"
)

// Layout returns the pages that hold all items. They lie in rows, in the order
// given, where that takes no more film than packing them tightly; else, unless
// opts.InOrder is set, packed. An item that fits only with a quarter turn is
// turned; so is one that packs better. Charts as large as the film come first,
// on sheets that hold nothing else. Placement.Index tells items apart.
//
// It fails with *fault.Error when an item does not fit a sheet of its own,
// saying how much film it needs and which film would do.
func Layout(items []Item, opts Options) ([]Page, error) {
	if err := opts.check(); err != nil {
		return nil, err
	}
	if len(items) == 0 {
		return nil, fault.New("", "", "no negatives to place on film", "name at least one finished negative")
	}
	for _, it := range items {
		if err := it.check(); err != nil {
			return nil, err
		}
	}
	l := newLayouter(opts)
	whole, rest := l.apart(numbered(items))
	pages, err := l.wholeSheets(whole)
	if err != nil {
		return nil, err
	}
	more, err := l.arrange(rest)
	if err != nil {
		return nil, err
	}
	pages = append(pages, more...)
	l.finish(pages)
	return pages, nil
}

// numbered makes a placement without a place of each item.
func numbered(items []Item) []Placement {
	all := make([]Placement, len(items))
	for i, it := range items {
		all[i] = Placement{Item: it, Index: i}
	}
	return all
}

// mostPages stands for the page count when the room for the footer is set
// aside, before it is known.
const mostPages = 999

// layouter holds what is the same for each page of a file.
type layouter struct {
	opts   Options
	face   *face
	footer footer // of the longest text, for its height
}

func newLayouter(opts Options) *layouter {
	l := &layouter{opts: opts, face: newFace()}
	if opts.Bare {
		l.opts.Film.MarginMM, l.opts.Rulers, l.opts.CutMarks = 0, false, false
		return l
	}
	l.footer = planFooter(l.opts, l.face, mostPages, mostPages)
	return l
}

// room returns the part of the film that negatives may take; of a roll, that of
// the longest page.
func (l *layouter) room() rect { return l.roomOf(l.opts.Film.HeightMM) }

// roomOf is room on a sheet so long.
func (l *layouter) roomOf(heightMM float64) rect {
	f := l.opts.Film
	r := rect{0, 0, f.WidthMM, heightMM}.grow(-f.MarginMM)
	if h := l.footer.h; h > 0 {
		r.h -= h + footerGapMM
	}
	return r.grow(-l.cutSpace())
}

// cutSpace is what cut marks take beside negatives at the side of the room.
func (l *layouter) cutSpace() float64 {
	if !l.opts.CutMarks || l.opts.InOrder {
		return 0
	}
	return min(cutMarkSpace, l.opts.GapMM-cutFromMM)
}

// lengthFor returns how long a sheet must be whose room ends at bottomMM.
func (l *layouter) lengthFor(bottomMM float64) float64 {
	f := l.opts.Film
	if !f.Roll {
		return f.HeightMM
	}
	room := l.room()
	if l.opts.Rulers {
		bottomMM = max(bottomMM, room.y+rulerMM+2*rulerEndMM)
	}
	return min(f.HeightMM, f.HeightMM-room.bottom()+bottomMM)
}

// roomBesideRuler is room without a column for the upright ruler.
func (l *layouter) roomBesideRuler() rect {
	r := l.room()
	if l.opts.Rulers {
		r.x += rulerColumnMM
		r.w -= rulerColumnMM
	}
	return r
}

// slackMM forgives what decimal millimetres lose in binary.
const slackMM = 1e-6

// arrange chooses the arrangement that takes least film: rows in the order given
// before tight packing, with a column for the ruler before one without.
func (l *layouter) arrange(all []Placement) ([]Page, error) {
	if len(all) == 0 {
		return nil, nil
	}
	pages, err := l.pack(all, l.roomBesideRuler())
	if other, errOther := l.pack(all, l.room()); err != nil || errOther == nil && l.filmMM(other) < l.filmMM(pages) {
		pages, err = other, errOther
	}
	if err != nil || l.opts.InOrder || l.opts.Bare || len(all) == 1 {
		return pages, err
	}
	for _, room := range []rect{l.roomBesideRuler(), l.room()} {
		if tight, ok := l.packTight(all, room, l.filmMM(pages)); ok {
			pages = tight
		}
	}
	return pages, nil
}

// filmMM is how much of the film's length pages take.
func (l *layouter) filmMM(pages []Page) float64 {
	sum := 0.0
	for _, p := range pages {
		sum += p.HeightMM
	}
	return sum
}

// tooLarge says how much film an item needs and which film would do.
func (l *layouter) tooLarge(it Item, room rect) error {
	least := l.block(it, false, 0)
	what := fmt.Sprintf("%s needs %s of film with all that surrounds it; the film (%s) has room for %s",
		sizeText(it.WidthMM, it.HeightMM), sizeText(least.w, least.h), l.opts.Film, sizeText(room.w, room.h))
	hint := "make the negative smaller"
	if it.Marks || it.Strip != nil || it.Edge.Kind != EdgeClear {
		hint += ", leave out marks, check strip or edge"
	}
	if film, ok := l.filmFor(it); ok {
		hint += ", or use larger film: " + film.Name + " is large enough"
	}
	return it.fault(what, hint)
}

// filmFor returns the smallest film known by name that takes the item.
func (l *layouter) filmFor(it Item) (Film, bool) {
	for _, f := range films {
		opts := l.opts
		f.MarginMM = opts.Film.MarginMM
		opts.Film = f
		other := newLayouter(opts)
		if _, _, ok := other.fits(it, other.room()); ok {
			return f, true
		}
	}
	return Film{}, false
}

// finish numbers the pages and gives them rulers, footer, cut marks and notices.
func (l *layouter) finish(pages []Page) {
	for i := range pages {
		p := &pages[i]
		p.Number, p.Count = i+1, len(pages)
		if l.opts.CutMarks && !l.opts.InOrder && !p.bare {
			p.cuts = cutMarks(p.Placements, l.opts.GapMM)
		}
		if !l.opts.Bare && !p.bare {
			p.footer = planFooter(l.opts, l.face, p.Number, p.Count)
			p.planRulers(l.opts, l.roomOf(p.HeightMM).grow(l.cutSpace()))
		}
		for _, pl := range p.Placements {
			if n := missingNotice(pl); n != "" {
				p.Notices = append(p.Notices, n)
			}
		}
	}
	oneRulerDoes(pages)
}
