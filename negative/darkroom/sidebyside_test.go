package darkroom_test

import (
	"runtime"
	"sync"
)

// sideBySide calls do with 0 to n-1, as many at a time as there are processors.
func sideBySide(n int, do func(i int)) {
	var wait sync.WaitGroup
	turns := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range n {
		turns <- struct{}{}
		wait.Go(func() {
			defer func() { <-turns }()
			do(i)
		})
	}
	wait.Wait()
}
