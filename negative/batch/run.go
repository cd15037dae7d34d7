package batch

import (
	"cmp"
	"context"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"actinic/negative/output"
)

// RunOptions bounds a run, and says what it may replace.
type RunOptions struct {
	Jobs   int   // pictures at a time; 0 for one a core
	Memory int64 // that the pictures in hand may take together, in bytes; 0 for DefaultMemory
	Force  bool  // make films anew and replace what is there
	Output output.Options
	// Made is the time that records carry; the date of Recipe.About when it is
	// zero.
	Made  time.Time
	Watch Watcher // may be nil
}

// Watcher is told how a run goes, never of two things at once.
type Watcher interface {
	// Surveyed comes when all headers are read, with the pixels of all films.
	// Some films may be done by then.
	Surveyed(pictures int, pixels int64)
	// Begun comes when work on a task begins.
	Begun(t Task, pixels int64)
	// Done comes in the order of the tasks, as soon as a task and those before it
	// are over.
	Done(t Task, o Outcome)
}

// Outcome is what became of one task: a film or an error.
type Outcome struct {
	Film    Film
	Pixels  int64 // of the film; 0 where the picture could not be read
	Skipped bool  // the film was there: the record says that the same work made it
	Err     error
}

// run is one run under way.
type run struct {
	recipe *Recipe
	key    string // of the recipe
	tasks  []Task
	o      RunOptions
	gate   *gate
	report *report
	// sealing holds those that wait for the disk: they leave the gate before, so
	// that the cores go on with the next picture.
	sealing chan struct{}
	wait    sync.WaitGroup
}

// Run makes the films of all tasks. A task that fails does not stop the others.
// When ctx ends, pictures in hand are dropped, with an error that is ctx's, or
// finished where only the disk is waited for; of tasks that were not begun
// nothing is told. Each film is there whole, or not at all.
//
// A task with Record leaves a record of its film in a hidden folder beside it,
// and is skipped when the record says that the same picture, curve and options
// made the film that is there; with Force it is made anew. A film that another
// run made meanwhile counts as one that was there.
//
// Films do not depend on Jobs and Memory. Pictures are made at once only as far
// as both allow; one that needs more memory than there is by itself is tried with
// less, and else fails.
func (r *Recipe) Run(ctx context.Context, tasks []Task, o RunOptions) {
	o.Jobs = min(cmp.Or(max(o.Jobs, 0), runtime.GOMAXPROCS(0)), max(1, len(tasks)))
	o.Memory = cmp.Or(o.Memory, DefaultMemory)
	o.Output.Force = o.Output.Force || o.Force
	if o.Made.IsZero() {
		o.Made, _ = time.Parse(time.DateOnly, r.About.Date)
	}
	w := &run{recipe: r, key: r.Key(), tasks: tasks, o: o, gate: newGate(o.Jobs, o.Memory),
		report: newReport(tasks, o.Watch), sealing: make(chan struct{}, o.Jobs)}
	w.o.Output = guarded(o.Output, tasks)
	sweep(tasks)
	w.all(ctx)
}

// sweep removes what killed runs left beside films and records.
func sweep(tasks []Task) {
	seen := map[string]bool{}
	for _, t := range tasks {
		dir := filepath.Dir(t.Out)
		if t.Record && t.Refused == nil && !seen[dir] {
			seen[dir] = true
			output.Sweep(dir)
			output.Sweep(filepath.Join(dir, recordFolder))
		}
	}
}

// all begins the tasks in their order and waits for the last.
func (w *run) all(ctx context.Context) {
	usual := w.gate.cores(0, len(w.tasks))
	surveys := newSurveys(w.tasks)
	w.wait.Go(func() {
		if pixels := surveys.run(ctx, w.recipe, usual); ctx.Err() == nil {
			w.report.surveyed(len(w.tasks), pixels)
		}
	})
	for i, t := range w.tasks {
		s := surveys.of(ctx, i)
		if ctx.Err() != nil {
			break
		}
		recipe := w.recipe
		if s.err == nil {
			recipe, s = w.recipe.fit(t, s, usual, w.gate, len(w.tasks)-i)
		}
		if s.err != nil {
			w.report.done(i, Outcome{Pixels: s.pixels, Err: s.err})
			continue
		}
		if w.gate.enter(ctx, s.bytes) != nil {
			break
		}
		w.report.begun(t, s.pixels)
		w.wait.Go(func() { w.report.done(i, w.one(ctx, recipe, t, s)) })
	}
	w.wait.Wait()
	w.report.rest()
}

// one makes the film of a task that the gate has let in.
func (w *run) one(ctx context.Context, recipe *Recipe, t Task, s survey) Outcome {
	var once sync.Once
	leave := func() { once.Do(func() { w.gate.leave(s.bytes) }) }
	defer leave()
	j := &job{recipe: recipe.watched(t, w.o.Watch), key: w.key, task: t, survey: s, o: &w.o}
	j.toDisk = func() (done func()) {
		w.sealing <- struct{}{}
		leave()
		return func() { <-w.sealing }
	}
	film, err := j.do(ctx)
	return Outcome{Film: film, Pixels: s.pixels, Skipped: film.Skipped, Err: inContext(ctx, err)}
}
