package batch

import (
	"context"
	"os"
	"slices"
	"sync"

	"actinic/negative/output"
	"actinic/negative/raster"
	"actinic/negative/tone"
	"actinic/process/fault"
)

// survey is what a picture's header tells of the work that it is.
type survey struct {
	pixels int64 // of the film
	bytes  int64 // of memory that making it takes with the cores asked for
	info   os.FileInfo
	err    error // why there can be no film
}

// survey reads a picture's header and plans its film for a number of cores. It
// takes some file handles and little memory, whatever the picture's size.
func (r *Recipe) survey(t Task, cores int) survey {
	if t.Refused != nil {
		return survey{err: t.Refused}
	}
	info, _ := os.Stat(t.In) // Open says what is wrong
	src, err := raster.Open(t.In)
	if err != nil {
		return survey{err: err}
	}
	defer src.Close()
	film, err := tone.Negative(src, unlit{}, r.Curve, r.options(FormatOf(t.Out), r.About.Line()), cores)
	if err != nil {
		return survey{err: fault.InFile(err, t.In)}
	}
	defer film.Close()
	h := film.Header()
	return survey{pixels: int64(h.Width) * int64(h.Height), bytes: h.HeldBytes + sinkBytes(h, cores), info: info}
}

// unlit stands for a picture's luminance where no row is read: tables of a
// profile take longer to make than a header takes to read.
type unlit struct{}

func (unlit) Row([]float32, []uint16) {}

const (
	// stripBytes is more than sinks make of a strip (a working value of ours):
	// rows before packing and packed.
	stripBytes = 1 << 20
	// aroundBytes is for what each film has besides rows: tables of a profile,
	// the picture's directory, buffers of files (a working value of ours).
	aroundBytes = 4 << 20
)

// sinkBytes is the memory that writing a film takes: two strips a core, and at
// least some rows.
func sinkBytes(h raster.Header, cores int) int64 {
	row := int64(h.RowSamples()) * 2
	return aroundBytes + 2*int64(max(cores, 1)+1)*max(stripBytes, row)
}

// surveyors is how many headers are read at a time: a disk answers several
// questions sooner than one after the other (a working value of ours).
const surveyors = 4

// surveys are those of all tasks of a run, as they come in.
type surveys struct {
	tasks   []Task
	results []chan survey

	mu     sync.Mutex
	next   int
	pixels int64 // of all so far
}

func newSurveys(tasks []Task) *surveys {
	s := &surveys{tasks: tasks, results: make([]chan survey, len(tasks))}
	for i := range s.results {
		s.results[i] = make(chan survey, 1)
	}
	return s
}

// run surveys all tasks in their order, and returns the pixels of all. It holds
// few files open at a time, and of each picture only what survey has.
func (s *surveys) run(ctx context.Context, r *Recipe, cores int) (pixels int64) {
	var wait sync.WaitGroup
	for range min(surveyors, len(s.tasks)) {
		wait.Go(func() {
			for i := s.take(); i < len(s.tasks) && ctx.Err() == nil; i = s.take() {
				one := r.survey(s.tasks[i], cores)
				s.results[i] <- one
				s.add(one.pixels)
			}
		})
	}
	wait.Wait()
	return s.pixels
}

func (s *surveys) take() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.next++
	return s.next - 1
}

func (s *surveys) add(pixels int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pixels += pixels
}

// of waits for the survey of task i. It is handed over once.
func (s *surveys) of(ctx context.Context, i int) survey {
	select {
	case one := <-s.results[i]:
		return one
	case <-ctx.Done():
		return survey{err: ctx.Err()}
	}
}

// guarded returns the outputs' options with all inputs known at once.
func guarded(o output.Options, tasks []Task) output.Options {
	inputs := slices.Clip(o.Inputs)
	for _, t := range tasks {
		inputs = append(inputs, t.In)
	}
	return output.Options{Force: o.Force, Guard: output.NewGuard(inputs)}
}
