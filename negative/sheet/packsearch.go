package sheet

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// searchWork bounds a search: pieces x pieces x packings. Well under two seconds
// on one core.
const searchWork = 120_000_000

// searchSeed makes each search the same.
const searchSeed = 20040552

// packedPieces is the best that a search found.
type packedPieces struct {
	cost  cost
	spots []spot
}

// searcher tries orders of the pieces, one after another.
type searcher struct {
	f      *filler
	order  []int
	turned []bool // which way of each piece is tried first
	rng    *rand.Rand
	best   packedPieces
	bestOf sequence // what made it
	enough cost     // no packing takes less
}

// sequence is what a packing follows from.
type sequence struct {
	order  []int
	turned []bool
}

// packPieces returns the best packing it finds: of several orders by size, then
// by changing the best of these a little, time and again, and taking what is
// worse by less and less (threshold accepting: Dueck and Scheuer, Journal of
// Computational Physics 90 (1990), from memory). The same pieces give the same
// packing. Every piece must fit an empty page.
func packPieces(b bin, pieces []piece, work int) packedPieces {
	s := &searcher{f: newFiller(b, pieces), order: make([]int, len(pieces)), turned: make([]bool, len(pieces)),
		rng: rand.New(rand.NewPCG(searchSeed, uint64(len(pieces)))), enough: leastCost(b, pieces)}
	for i := range s.order {
		s.order[i] = i
	}
	s.start()
	rounds := work / (len(pieces) * len(pieces)) / len(allowances)
	for _, a := range allowances {
		copy(s.order, s.bestOf.order)
		copy(s.turned, s.bestOf.turned)
		s.improve(rounds, a)
	}
	return s.best
}

// allowances are by how many thousandths of its cost a packing may get worse at
// the start of a run of changes; working values of ours.
var allowances = [...]int{20, 10, 5}

// leastCost returns what a packing without any loss would take.
func leastCost(b bin, pieces []piece) cost {
	area := 0
	for _, p := range pieces {
		area += leastArea(p)
	}
	page := b.w * b.h
	c := cost{pages: max(1, (area+page-1)/page)}
	c.last = area - (c.pages-1)*page
	if b.roll {
		c.last = (c.last + b.w - 1) / b.w
	}
	return c
}

// leastArea returns the area of the smaller way of a piece to lie.
func leastArea(p piece) int {
	up, turned := p.upright.w*p.upright.h, p.turned.w*p.turned.h
	if up == 0 || turned > 0 && turned < up {
		return turned
	}
	return up
}

// sizeKeys are what pieces are sorted by, largest first.
var sizeKeys = []func(piece) int{
	func(p piece) int { return max(p.upright.w, p.upright.h, p.turned.w, p.turned.h) },
	leastArea,
	func(p piece) int { return max(p.upright.w+p.upright.h, p.turned.w+p.turned.h) },
	func(p piece) int { return max(p.upright.w, p.turned.h) },
	func(p piece) int { return max(p.upright.h, p.turned.w) },
}

// start keeps the best of the sorted orders, with what is tall or what is wide
// tried first.
func (s *searcher) start() {
	for _, key := range sizeKeys {
		slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(key(s.f.pieces[b]), key(s.f.pieces[a])) })
		for _, wide := range []bool{false, true} {
			for i, p := range s.f.pieces {
				s.turned[i] = p.turned.w > 0 && (p.turned.w > p.upright.w) == wide
			}
			if c := s.f.fill(s.order, s.turned); s.best.spots == nil || c.less(s.best.cost) {
				s.keep(c)
			}
		}
	}
}

// keep notes the packing just made.
func (s *searcher) keep(c cost) {
	s.best = packedPieces{c, append(s.best.spots[:0], s.f.spots...)}
	s.bestOf = sequence{append(s.bestOf.order[:0], s.order...), append(s.bestOf.turned[:0], s.turned...)}
}

// improve makes so many small changes; one that makes the packing worse by more
// than what is still allowed is taken back.
func (s *searcher) improve(rounds, allowance int) {
	n := len(s.order)
	now := s.best.cost
	for r := range rounds {
		if n < 2 || s.done() {
			return
		}
		undo := s.change(n)
		c := s.f.fill(s.order, s.turned)
		was := now.total(s.f.bin)
		if now.less(c) && c.total(s.f.bin) > was+was/1000*allowance/rounds*(rounds-r) {
			undo()
			continue
		}
		if now = c; c.less(s.best.cost) {
			s.keep(c)
		}
	}
}

// done reports whether the best found can't take less film: as few sheets as the
// area asks for, or as little of a roll.
func (s *searcher) done() bool {
	if s.f.bin.roll {
		return !s.enough.less(s.best.cost)
	}
	return s.best.cost.pages <= s.enough.pages
}

// total is a cost in one figure, an area.
func (c cost) total(b bin) int {
	if b.roll {
		return (c.pages-1)*b.w*b.h + (c.last*b.w+c.waste)/2
	}
	return (c.pages-1)*b.w*b.h + c.last
}

// change exchanges two pieces of the order, moves one, or turns one, and
// returns what takes that back.
func (s *searcher) change(n int) func() {
	i, j := s.rng.IntN(n), s.rng.IntN(n)
	switch s.rng.IntN(4) {
	case 0:
		p := s.order[i]
		s.turned[p] = !s.turned[p]
		return func() { s.turned[p] = !s.turned[p] }
	case 1:
		moveTo(s.order, i, j)
		return func() { moveTo(s.order, j, i) }
	}
	s.order[i], s.order[j] = s.order[j], s.order[i]
	return func() { s.order[i], s.order[j] = s.order[j], s.order[i] }
}

// moveTo takes the entry at i out and puts it in at j.
func moveTo(order []int, i, j int) {
	v := order[i]
	if i < j {
		copy(order[i:j], order[i+1:j+1])
	} else {
		copy(order[j+1:i+1], order[j:i])
	}
	order[j] = v
}
