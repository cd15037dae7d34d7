package sheet

import (
	"fmt"
	"slices"
)

// Measures of a ruler in millimetres.
const (
	rulerMM       = 100.0
	shortRulerMM  = 50.0 // where the film has no room for 100 mm
	tickMM        = 1.0  // a millimetre
	tick5MM       = 1.6
	tickCmMM      = 2.2
	rulerDepthMM  = 4.6 // ticks and numbers
	rulerColumnMM = 5.2 // what an upright ruler takes beside negatives
	bareDepthMM   = 2.4 // ticks alone, where film is short
	rulerClearMM  = 0.2 // between a ruler and a block
	rulerEndMM    = 2.0 // what its end numbers stand out by
)

// ruler is a scale on film: from (x, y) to the right, ticks down; or upright,
// from (x, y) down, ticks to the right.
type ruler struct {
	x, y     float64
	lengthMM float64
	upright  bool
	bare     bool // ticks alone, no numbers
}

// planRulers finds room for the two rulers of a page, or says why there is none.
func (p *Page) planRulers(opts Options, room rect) {
	if !opts.Rulers {
		return
	}
	p.levelRuler(opts.Film)
	p.uprightRuler(opts, room)
}

// levelRuler goes to the foot of the page.
func (p *Page) levelRuler(film Film) {
	wide := film.WidthMM - 2*film.MarginMM
	r := ruler{x: film.MarginMM + rulerEndMM, y: p.HeightMM - film.MarginMM - p.footer.h, lengthMM: rulerMM}
	if wide < rulerMM+2*rulerEndMM {
		r.lengthMM = shortRulerMM
		p.notice("the film is too narrow for a level ruler of 100 mm: it has one of 50 mm")
	}
	if wide < r.lengthMM+2*rulerEndMM {
		p.notice("the film is too narrow for a level ruler: measure the picture itself")
		return
	}
	p.rulers = append(p.rulers, r)
}

// uprightRuler goes left of the negatives, else wherever else there is room for
// it, else, without numbers, into what is left at the film's own edge.
func (p *Page) uprightRuler(opts Options, room rect) {
	length, film := rulerMM, opts.Film
	if room.h < rulerMM+2*rulerEndMM {
		length = shortRulerMM
		p.notice("the film is too short for an upright ruler of 100 mm: it has one of 50 mm")
	}
	clear := rulerClearMM
	if len(p.cuts) > 0 {
		clear = cutMarkSpace + rulerClearMM
	}
	long := length + 2*rulerEndMM
	r := ruler{lengthMM: length, upright: true}
	if room.h < long {
		p.notice("the film is too short for an upright ruler: measure the picture itself")
		return
	}
	if at, ok := p.free(room, rulerDepthMM, long, clear); ok {
		r.x, r.y = at.x, at.y+rulerEndMM
	} else if x := p.used().x - (clear - rulerClearMM); x >= bareDepthMM+0.8 {
		r.x, r.y, r.bare = x-bareDepthMM-0.4, room.y+rulerEndMM, true
		if r.x < film.MarginMM {
			p.notice(fmt.Sprintf("the upright ruler lies in the outer %g mm of the film, which some printers leave blank", film.MarginMM))
		}
	} else {
		p.notice(noRuler)
		return
	}
	p.rulers = append(p.rulers, r)
}

const noRuler = "no room for an upright ruler beside the negative: measure the picture itself"

// free returns the top-left corner of a place w x h in the room that keeps clear
// of all blocks: at the room's left if there is one, else at its right, else
// beside or below a block.
func (p *Page) free(room rect, w, h, clear float64) (point, bool) {
	xs, ys := []float64{room.x, room.right() - w}, []float64{room.y}
	for _, pl := range p.Placements {
		r := pl.rect().grow(clear)
		xs, ys = append(xs, r.right()), append(ys, r.bottom())
	}
	for _, x := range xs {
		for _, y := range ys {
			if x >= room.x && x+w <= room.right()+slackMM && y+h <= room.bottom()+slackMM && !p.covers(rect{x, y, w, h}, clear) {
				return point{x, y}, true
			}
		}
	}
	return point{}, false
}

// covers reports whether a block lies on r or nearer to it than clear.
func (p *Page) covers(r rect, clear float64) bool {
	for _, pl := range p.Placements {
		b := pl.rect().grow(clear - slackMM)
		if r.x < b.right() && b.x < r.right() && r.y < b.bottom() && b.y < r.bottom() {
			return true
		}
	}
	return false
}

// oneRulerDoes says of pages without an upright ruler which page has one.
func oneRulerDoes(pages []Page) {
	has := slices.IndexFunc(pages, func(p Page) bool {
		return slices.ContainsFunc(p.rulers, func(r ruler) bool { return r.upright })
	})
	if has < 0 {
		return
	}
	for i := range pages {
		for k, n := range pages[i].Notices {
			if n == noRuler {
				pages[i].Notices[k] = fmt.Sprintf("sheet %d has no room for an upright ruler: use that of sheet %d", i+1, has+1)
			}
		}
	}
}

// used returns the smallest rectangle around all blocks of the page.
func (p *Page) used() rect {
	u := p.Placements[0].rect()
	for _, pl := range p.Placements[1:] {
		r := pl.rect()
		right, bottom := max(u.right(), r.right()), max(u.bottom(), r.bottom())
		u.x, u.y = min(u.x, r.x), min(u.y, r.y)
		u.w, u.h = right-u.x, bottom-u.y
	}
	return u
}

func (p *Page) notice(text string) { p.Notices = append(p.Notices, text) }
