package sheet

import "fmt"

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
	p.levelRuler(opts.Film, room)
	p.uprightRuler(opts.Film, room)
}

// levelRuler goes to the foot of the page.
func (p *Page) levelRuler(film Film, room rect) {
	wide := film.WidthMM - 2*film.MarginMM
	r := ruler{x: film.MarginMM + rulerEndMM, y: room.bottom() + footerGapMM, lengthMM: rulerMM}
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

// uprightRuler goes left of the negatives, else right of them or below them,
// else, without numbers, into what is left at the film's own edge.
func (p *Page) uprightRuler(film Film, room rect) {
	length := rulerMM
	if room.h < rulerMM+2*rulerEndMM {
		length = shortRulerMM
		p.notice("the film is too short for an upright ruler of 100 mm: it has one of 50 mm")
	}
	used := p.used()
	long := length + 2*rulerEndMM
	r := ruler{lengthMM: length, upright: true, y: room.y + rulerEndMM}
	switch {
	case room.h < long:
		p.notice("the film is too short for an upright ruler: measure the picture itself")
		return
	case used.x-room.x >= rulerDepthMM:
		r.x = room.x
	case room.right()-used.right() >= rulerDepthMM:
		r.x = room.right() - rulerDepthMM
	case room.bottom()-used.bottom() >= long:
		r.x, r.y = room.x, used.bottom()+rulerEndMM
	case used.x >= bareDepthMM+0.8:
		r.x, r.bare = used.x-bareDepthMM-0.4, true
		if r.x < film.MarginMM {
			p.notice(fmt.Sprintf("the upright ruler lies in the outer %g mm of the film, which some printers leave blank", film.MarginMM))
		}
	default:
		p.notice("no room for an upright ruler beside the negative: measure the picture itself")
		return
	}
	p.rulers = append(p.rulers, r)
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
