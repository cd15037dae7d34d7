package sheet

// apart takes the charts out that fit the film but not the room that its margin
// and notes leave: a chart has a margin and notes of its own.
func (l *layouter) apart(all []Placement) (whole, rest []Placement) {
	for _, p := range all {
		if p.Item.Chart && !l.opts.Bare {
			if _, _, ok := l.fits(p.Item, l.room()); !ok {
				whole = append(whole, p)
				continue
			}
		}
		rest = append(rest, p)
	}
	return whole, rest
}

// wholeSheets lays charts up to the edges of the film. Only
// there do negatives touch each other: all charts have a clear margin.
func (l *layouter) wholeSheets(charts []Placement) ([]Page, error) {
	if len(charts) == 0 {
		return nil, nil
	}
	opts := l.opts
	opts.Bare, opts.GapMM = true, 0
	bare := newLayouter(opts)
	pages, err := bare.pack(charts, bare.room())
	if err != nil {
		return nil, err
	}
	for i := range pages {
		pages[i].bare = true
	}
	return pages, nil
}

// FilmUsed returns which share of the film, 0 to 1, is covered by negatives with
// what belongs to each; the rest is gaps, margins, notes and waste.
func FilmUsed(pages []Page, film Film) float64 {
	used, all := 0.0, 0.0
	for _, p := range pages {
		all += float64(film.WidthMM * p.HeightMM)
		for _, pl := range p.Placements {
			used += float64(pl.block.w * pl.block.h)
		}
	}
	return used / all
}
