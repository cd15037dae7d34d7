package batch

import "sync"

// report tells a watcher of a run: one thing at a time, and what is done in the
// order of the tasks.
type report struct {
	mu    sync.Mutex
	watch Watcher
	tasks []Task
	next  int             // the first task that Done was not called for
	over  map[int]Outcome // of later ones
}

func newReport(tasks []Task, watch Watcher) *report {
	return &report{watch: watch, tasks: tasks, over: map[int]Outcome{}}
}

func (r *report) surveyed(pictures int, pixels int64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.watch != nil {
		r.watch.Surveyed(pictures, pixels)
	}
}

func (r *report) begun(t Task, pixels int64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.watch != nil {
		r.watch.Begun(t, pixels)
	}
}

// done takes what became of task i.
func (r *report) done(i int, o Outcome) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.over[i] = o
	for r.tell() {
	}
}

// tell tells of the next task, if it is over, and reports whether it was.
func (r *report) tell() bool {
	o, there := r.over[r.next]
	if !there {
		return false
	}
	delete(r.over, r.next)
	r.next++
	if r.watch != nil {
		r.watch.Done(r.tasks[r.next-1], o)
	}
	return true
}

// rest tells what is left when a run was interrupted and no more is to come.
func (r *report) rest() {
	r.mu.Lock()
	defer r.mu.Unlock()
	for len(r.over) > 0 {
		if !r.tell() {
			r.next++
		}
	}
}
