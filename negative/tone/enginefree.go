package tone

import "sync"

// freeList keeps room that is used again, so that a run takes memory at its
// beginning only.
type freeList[T any] struct {
	mu   sync.Mutex
	free [][]T
}

// take returns room for n, which is not cleared; new room is made for as many
// as usual, if that is more.
func (f *freeList[T]) take(n, usual int) []T {
	f.mu.Lock()
	defer f.mu.Unlock()
	for i := len(f.free) - 1; i >= 0; i-- {
		if room := f.free[i]; cap(room) >= n {
			f.free = append(f.free[:i], f.free[i+1:]...)
			return room[:n]
		}
	}
	return make([]T, n, max(n, usual))
}

func (f *freeList[T]) give(room []T) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.free = append(f.free, room)
}
