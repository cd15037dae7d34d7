package sheet

import (
	"fmt"

	"actinic/process/fault"
)

// Layout returns the pages that hold all items, in the order given, in rows
// from the top. An item that fits the film only with a quarter turn is turned.
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
	pages, err := l.pack(items, l.roomBesideRuler())
	if other, errOther := l.pack(items, l.room()); err != nil || errOther == nil && len(other) < len(pages) {
		pages, err = other, errOther
	}
	if err != nil {
		return nil, err
	}
	l.finish(pages)
	return pages, nil
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
		l.opts.Film.MarginMM, l.opts.Rulers = 0, false
		return l
	}
	l.footer = planFooter(l.opts, l.face, mostPages, mostPages)
	return l
}

// room returns the part of the film that negatives may take.
func (l *layouter) room() rect {
	f := l.opts.Film
	r := rect{0, 0, f.WidthMM, f.HeightMM}.grow(-f.MarginMM)
	if h := l.footer.h; h > 0 {
		r.h -= h + footerGapMM
	}
	return r
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

// slack forgives what decimal millimetres lose in binary.
const slackMM = 1e-6

// pack fills pages row by row.
func (l *layouter) pack(items []Item, room rect) ([]Page, error) {
	var pages []Page
	s := shelf{room: room, gap: l.opts.GapMM}
	for _, it := range items {
		p, err := l.place(it, room)
		if err != nil {
			return nil, err
		}
		if len(pages) == 0 || !s.take(&p) {
			pages = append(pages, Page{})
			s = shelf{room: room, gap: l.opts.GapMM}
			s.take(&p)
		}
		page := &pages[len(pages)-1]
		page.Placements = append(page.Placements, p)
	}
	for i := range pages {
		centre(pages[i].Placements, room)
		for j := range pages[i].Placements {
			pages[i].Placements[j].settle()
		}
	}
	return pages, nil
}

// shelf is where the next block goes: rows of blocks from the top of the room.
type shelf struct {
	room rect
	gap  float64
	x, y float64 // used so far, gaps included, from the room's corner
	h    float64 // of the row begun
}

// take places p and reports whether the room still had space for it.
func (s *shelf) take(p *Placement) bool {
	w, h := p.block.w, p.block.h
	if s.x > 0 && s.x+w > s.room.w+slackMM {
		s.x, s.y, s.h = 0, s.y+s.h+s.gap, 0
	}
	if s.y+h > s.room.h+slackMM {
		return false
	}
	p.corner = point{s.room.x + s.x, s.room.y + s.y}
	s.x += w + s.gap
	s.h = max(s.h, h)
	return true
}

// place chooses upright or turned for an item alone in a room.
func (l *layouter) place(it Item, room rect) (Placement, error) {
	if p, ok := l.fits(it, room); ok {
		return p, nil
	}
	return Placement{}, l.tooLarge(it, room)
}

func (l *layouter) fits(it Item, room rect) (Placement, bool) {
	for _, turned := range []bool{false, true} {
		b := l.block(it, turned, room.w)
		if b.w <= room.w+slackMM && b.h <= room.h+slackMM {
			return Placement{Item: it, Turned: turned, block: b}, true
		}
	}
	return Placement{}, false
}

func (l *layouter) block(it Item, turned bool, availMM float64) block {
	w, h := it.WidthMM, it.HeightMM
	if turned {
		w, h = h, w
	}
	return newBlock(it, l.face, w, h, availMM, l.opts.Bare)
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
		opts.Film = f
		other := newLayouter(opts)
		if _, ok := other.fits(it, other.room()); ok {
			return f, true
		}
	}
	return Film{}, false
}

// rect returns the block as it lies on the film.
func (p *Placement) rect() rect {
	return rect{p.corner.x, p.corner.y, p.block.w, p.block.h}
}

// settle works out where the picture lies once the block has its place.
func (p *Placement) settle() {
	pic := p.block.picture
	p.XMM, p.YMM, p.WidthMM, p.HeightMM = p.corner.x+pic.x, p.corner.y+pic.y, pic.w, pic.h
}

// centre moves each row of blocks to the middle of the room's width.
func centre(row []Placement, room rect) {
	for len(row) > 0 {
		n := 1
		for n < len(row) && row[n].corner.y == row[0].corner.y {
			n++
		}
		last := row[n-1].rect()
		shift := (room.right() - last.right()) / 2
		for i := range row[:n] {
			row[i].corner.x += max(shift, 0)
		}
		row = row[n:]
	}
}

// finish numbers the pages and gives them rulers, footer and notices.
func (l *layouter) finish(pages []Page) {
	for i := range pages {
		p := &pages[i]
		p.Number, p.Count = i+1, len(pages)
		if !l.opts.Bare {
			p.footer = planFooter(l.opts, l.face, p.Number, p.Count)
		}
		p.planRulers(l.opts, l.room())
		for _, pl := range p.Placements {
			if n := pl.block.missing; n > 0 {
				p.Notices = append(p.Notices, fmt.Sprintf("label of %s: %d letters have no form in the built-in typeface and are shown as an empty box", pl.Item.Label.Name, n))
			}
		}
	}
}
