package sheet

// pack fills pages row by row.
func (l *layouter) pack(all []Placement, room rect) ([]Page, error) {
	var pages []Page
	s := shelf{room: room, gap: l.opts.GapMM}
	for _, p := range all {
		p, err := l.place(p, room)
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
		p := &pages[i]
		centre(p.Placements, room)
		l.settle(p)
		if l.opts.InOrder && !l.opts.Bare {
			p.cuts = cutLines(p.Placements, room, l.opts.GapMM)
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
func (l *layouter) place(p Placement, room rect) (Placement, error) {
	if b, turned, ok := l.fits(p.Item, room); ok {
		p.block, p.Turned = b, turned
		return p, nil
	}
	return Placement{}, l.tooLarge(p.Item, room)
}

// fits returns the item's block if a room takes it, upright or else turned.
func (l *layouter) fits(it Item, room rect) (b block, turned, ok bool) {
	for _, turned := range []bool{false, true} {
		if turned && l.opts.NoTurn {
			break
		}
		b := l.block(it, turned, room.w)
		if room.takes(b) {
			return b, turned, true
		}
	}
	return block{}, false, false
}

// takes reports whether a block fits a room.
func (r rect) takes(b block) bool { return b.w <= r.w+slackMM && b.h <= r.h+slackMM }

func (l *layouter) block(it Item, turned bool, availMM float64) block {
	w, h := it.WidthMM, it.HeightMM
	if turned {
		w, h = h, w
	}
	return newBlock(it, l.face, w, h, availMM, l.opts.Bare || it.Chart)
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

// settle works out where all pictures of a page lie, and how long it is.
func (l *layouter) settle(p *Page) {
	end := 0.0
	for i := range p.Placements {
		p.Placements[i].settle()
		end = max(end, p.Placements[i].rect().bottom())
	}
	p.HeightMM = l.lengthFor(end)
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
