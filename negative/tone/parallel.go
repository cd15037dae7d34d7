package tone

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// each calls do(i) for i in 0..n-1 on up to jobs cores (0 means all) and waits.
// Each i must write its own rows only, so that the result does not depend on
// jobs.
func each(jobs, n int, do func(i int)) {
	if jobs <= 0 {
		jobs = runtime.GOMAXPROCS(0)
	}
	if jobs = min(jobs, n); jobs <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range jobs {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}
