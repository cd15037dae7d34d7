package tone

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// cores returns how many goroutines work for a number of jobs: 0 means all.
func cores(jobs int) int {
	if jobs <= 0 {
		return runtime.GOMAXPROCS(0)
	}
	return jobs
}

// each calls do(i) for i in 0..n-1 on up to jobs cores (0 means all) and waits.
// Each i must write its own rows only, so that the result does not depend on
// jobs.
func each(jobs, n int, do func(i int)) {
	if jobs = min(cores(jobs), n); jobs <= 1 {
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

// steps is what is done for each of several portions of work.
type steps struct {
	// begin is called in order, never twice at once.
	begin func(ctx context.Context, worker, k int) error
	// work is called next, by the same goroutine, beside others. It may wait for
	// what portions before k do, or for ctx.
	work func(ctx context.Context, worker, k int) error
	// finish is called in order by the goroutine that called inOrder.
	finish func(ctx context.Context, k int) error
}

// slotsOf is how many portions are begun and not finished at most.
func slotsOf(workers int) int {
	if workers == 1 {
		return 1
	}
	return 2 * workers
}

// inOrder does all portions of ks on so many goroutines, and returns the first
// error in their order. It returns when no goroutine is left. What begin and
// work keep for portion k until it is finished may lie in place k modulo
// slotsOf(workers). A panic of a worker goes on in the caller.
func inOrder(ctx context.Context, workers int, ks span, s steps) error {
	if workers == 1 {
		return oneByOne(ctx, ks, s)
	}
	ctx, cancel := context.WithCancel(ctx)
	slots := slotsOf(workers)
	c := &crew{steps: s, next: ks.from, end: ks.to, room: make(chan struct{}, slots), done: make([]chan error, slots)}
	for i := range c.done {
		c.done[i] = make(chan error, 1)
	}
	var wait sync.WaitGroup
	defer wait.Wait()
	defer cancel()
	for w := range workers {
		wait.Go(func() { c.worker(ctx, w) })
	}
	return c.finishAll(ctx, ks)
}

func oneByOne(ctx context.Context, ks span, s steps) error {
	for k := ks.from; k < ks.to; k++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		for _, step := range []func() error{
			func() error { return s.begin(ctx, 0, k) },
			func() error { return s.work(ctx, 0, k) },
			func() error { return s.finish(ctx, k) },
		} {
			if err := step(); err != nil {
				return err
			}
		}
	}
	return nil
}

// crew is several goroutines at work on portions.
type crew struct {
	steps
	order     sync.Mutex // of begin
	next, end int
	room      chan struct{} // as many as portions that are begun and not finished
	done      []chan error
}

// worker takes portions until there are none, or one fails.
func (c *crew) worker(ctx context.Context, w int) {
	for {
		select {
		case c.room <- struct{}{}:
		case <-ctx.Done():
			return
		}
		k, err := c.take(ctx, w)
		if k >= c.end {
			return
		}
		if err == nil {
			err = guarded(func() error { return c.work(ctx, w, k) })
		}
		c.done[k%len(c.done)] <- err
		if err != nil {
			return
		}
	}
}

func (c *crew) take(ctx context.Context, w int) (int, error) {
	c.order.Lock()
	defer c.order.Unlock()
	k := c.next
	if k >= c.end {
		return k, nil
	}
	c.next++
	return k, guarded(func() error { return c.begin(ctx, w, k) })
}

func (c *crew) finishAll(ctx context.Context, ks span) error {
	for k := ks.from; k < ks.to; k++ {
		err := ctx.Err()
		if err != nil {
			return err
		}
		select {
		case err = <-c.done[k%len(c.done)]:
		case <-ctx.Done():
			return ctx.Err()
		}
		if p, ok := err.(*panicked); ok {
			panic(p.Error())
		}
		if err == nil {
			err = c.finish(ctx, k)
		}
		if err != nil {
			return err
		}
		<-c.room
	}
	return nil
}

// panicked is a panic on its way to another goroutine.
type panicked struct {
	value any
	stack []byte
}

func (p *panicked) Error() string { return fmt.Sprintf("%v\n\n%s", p.value, p.stack) }

func guarded(do func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = &panicked{v, debug.Stack()}
		}
	}()
	return do()
}

// relay lets portions do something one after the other, in order.
type relay []chan struct{}

// newRelay starts with portion 0.
func newRelay(slots int) relay {
	r := make(relay, slots)
	for i := range r {
		r[i] = make(chan struct{}, 1)
	}
	r[0] <- struct{}{}
	return r
}

// leg does what portion k does when the one before has done it.
func (r relay) leg(ctx context.Context, k int, do func()) error {
	select {
	case <-r[k%len(r)]:
	case <-ctx.Done():
		return ctx.Err()
	}
	do()
	r[(k+1)%len(r)] <- struct{}{}
	return nil
}
