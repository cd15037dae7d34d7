package tone

import (
	"context"
	"sync"
)

// slab is some of the picture's rows as light, resampled across. Bands next to
// each other share it: no row is decoded or resampled twice.
type slab struct {
	rows  span // of the picture
	pix   []float32
	ready chan struct{} // closed when the rows are there
	users int
}

func (s *slab) row(y, columns int) []float32 {
	return s.pix[(y-s.rows.from)*columns:][:columns]
}

// shelf keeps the slabs in use, and the room of those no longer used.
type shelf struct {
	columns, usual int // width of the rows; how many most slabs have

	mu   sync.Mutex
	held []*slab // those that later bands may need
	free freeList[float32]
}

// place begins the slab of the rows read, if any, and returns it and all slabs
// that the rows needed lie in. Both move in one direction from band to band.
func (s *shelf) place(read, need span, falling bool) (own *slab, uses []*slab) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.letGo(need, falling)
	if read.count() > 0 {
		own = &slab{rows: read, pix: s.free.take(read.count()*s.columns, s.usual*s.columns), ready: make(chan struct{}), users: 1}
		s.held = append(s.held, own)
	}
	for _, b := range s.held {
		if b.rows.meet(need).count() > 0 {
			b.users++
			uses = append(uses, b)
		}
	}
	return own, uses
}

// letGo drops the slabs that no band from the one that needs these rows on takes.
func (s *shelf) letGo(need span, falling bool) {
	kept := s.held[:0]
	for _, b := range s.held {
		if falling && b.rows.from >= need.to || !falling && b.rows.to <= need.from {
			s.drop(b)
			continue
		}
		kept = append(kept, b)
	}
	clear(s.held[len(kept):])
	s.held = kept
}

func (s *shelf) drop(b *slab) {
	if b.users--; b.users == 0 {
		s.free.give(b.pix)
		b.pix = nil
	}
}

// release gives back what place returned.
func (s *shelf) release(uses []*slab) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, b := range uses {
		s.drop(b)
	}
}

// gather sets rows[y-need.from] to row y of the picture, for all rows needed,
// when they are there.
func gather(ctx context.Context, rows [][]float32, need span, uses []*slab, columns int) error {
	for _, b := range uses {
		select {
		case <-b.ready:
		case <-ctx.Done():
			return ctx.Err()
		}
		part := b.rows.meet(need)
		for y := part.from; y < part.to; y++ {
			rows[y-need.from] = b.row(y, columns)
		}
	}
	return nil
}
