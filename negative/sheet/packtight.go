package sheet

import (
	"cmp"
	"math"
)

const umPerMM = 1000

// piecesOf returns what packing has to know of all placements, in whole
// micrometres, each with the gap on its right and below, and the blocks, upright
// and turned.
func (l *layouter) piecesOf(all []Placement, room rect) (pieces []piece, blocks [][2]block) {
	for _, p := range all {
		var b [2]block
		var sizes [2]side2
		for i, turned := range []bool{false, true} {
			b[i] = l.block(p.Item, turned, room.w)
			if room.takes(b[i]) && !(turned && l.opts.NoTurn) {
				sizes[i] = side2{l.um(b[i].w), l.um(b[i].h)}
			}
		}
		pieces, blocks = append(pieces, piece{sizes[0], sizes[1]}), append(blocks, b)
	}
	return pieces, blocks
}

// um returns a side with its gap, rounded up but for what binary fractions lose.
func (l *layouter) um(mm float64) int {
	return int(math.Ceil((mm+l.opts.GapMM)*umPerMM - slackMM*umPerMM))
}

// packTight packs into a room and reports whether that takes less film than
// leastMM of its length.
func (l *layouter) packTight(all []Placement, room rect, leastMM float64) ([]Page, bool) {
	pieces, blocks := l.piecesOf(all, room)
	b := bin{int((room.w + l.opts.GapMM + slackMM) * umPerMM), int((room.h + l.opts.GapMM + slackMM) * umPerMM), l.opts.Film.Roll}
	for _, p := range pieces {
		if p.upright.w == 0 && p.turned.w == 0 {
			return nil, false // it fits without the ruler only
		}
	}
	if !b.roll && float64(leastCost(b, pieces).pages)*l.opts.Film.HeightMM >= leastMM-slackMM {
		return nil, false
	}
	found := packPieces(b, pieces, cmp.Or(l.opts.work, searchWork))
	pages := make([]Page, found.cost.pages)
	for i, s := range found.spots {
		p := all[i]
		p.Turned, p.block = s.turned, blocks[i][0]
		if s.turned {
			p.block = blocks[i][1]
		}
		p.corner = point{room.x + float64(s.x)/umPerMM, room.y + float64(s.y)/umPerMM}
		pages[s.page].Placements = append(pages[s.page].Placements, p)
	}
	for i := range pages {
		l.settle(&pages[i])
	}
	return pages, l.filmMM(pages) < leastMM-slackMM
}
