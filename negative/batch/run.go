package batch

import (
	"context"
	"runtime"
	"sync"

	"actinic/negative/output"
)

// Outcome is what became of one task: a film or an error.
type Outcome struct {
	Film Film
	Err  error
}

// Run makes the films of all tasks, up to jobs at a time, 0 for one a core. It
// calls done for each in the order of the tasks, not at once, as soon as it and
// those before it are there. A task that fails does not stop the others; ctx
// does, and tasks that were not begun then fail with its error.
func (r *Recipe) Run(ctx context.Context, tasks []Task, jobs int, o output.Options, done func(Outcome)) {
	cores := runtime.GOMAXPROCS(0)
	if jobs < 1 {
		jobs = cores
	}
	jobs = min(jobs, len(tasks))
	share := *r
	share.Cores = max(1, cores/max(1, jobs))
	results := make([]chan Outcome, len(tasks))
	for i := range results {
		results[i] = make(chan Outcome, 1)
	}
	var next sync.Mutex
	begun := 0
	take := func() int {
		next.Lock()
		defer next.Unlock()
		begun++
		return begun - 1
	}
	for range jobs {
		go func() {
			for i := take(); i < len(tasks); i = take() {
				results[i] <- share.outcome(ctx, tasks[i], o)
			}
		}()
	}
	for i := range tasks {
		done(<-results[i])
	}
}

func (r *Recipe) outcome(ctx context.Context, t Task, o output.Options) Outcome {
	if err := ctx.Err(); err != nil {
		return Outcome{Err: err}
	}
	film, err := r.Make(ctx, t, o)
	return Outcome{film, err}
}
