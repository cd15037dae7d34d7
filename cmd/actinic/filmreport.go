package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"actinic/negative/batch"
)

// filmReport tells of films as they are made, and sums them up. It watches a
// batch.
type filmReport struct {
	*app
	several  bool // a summary follows
	pictures int
	notices  []string       // of all films; part of each object with --json
	line     *progress      // may be nil
	told     map[string]int // how often a notice came
	order    []string       // of notices
	sum      filmSummary
	failures []error
	failed   error // to write the report
}

// filmSummary is the last object of 'negative --json' on several pictures.
type filmSummary struct {
	Done    int   `json:"done"`
	Skipped int   `json:"skipped"`
	Failed  int   `json:"failed"`
	Pixels  int64 `json:"pixels"` // of the films done
}

// Surveyed takes down how much work there is.
func (r *filmReport) Surveyed(_ int, pixels int64) {
	r.line.change(func(s *batchState) { s.pixels = pixels })
}

// Begun has nothing to tell.
func (r *filmReport) Begun(batch.Task, int64) {}

// Rows counts what is written of films on their way.
func (r *filmReport) Rows(t batch.Task, pixels int64) {
	r.line.count(func(s *batchState) { s.write(t.In, pixels, time.Now()) })
}

// Done tells of one film; of one that was dropped because the user stopped the
// batch there is nothing to tell.
func (r *filmReport) Done(t batch.Task, o batch.Outcome) {
	if errors.Is(o.Err, context.Canceled) {
		return
	}
	r.line.aside(func(s *batchState) {
		s.end(t.In, o.Pixels, o.Err == nil && !o.Skipped, o.Err != nil, time.Now())
		r.add(o)
	})
}

// add tells of one film. A failure is kept for the end.
func (r *filmReport) add(o batch.Outcome) {
	switch {
	case errors.Is(o.Err, context.Canceled):
		return
	case o.Err != nil:
		r.sum.Failed++
		r.failures = append(r.failures, o.Err)
		return
	case o.Skipped:
		r.sum.Skipped++
	default:
		r.sum.Done++
		r.sum.Pixels += o.Pixels
	}
	f := o.Film
	if !o.Skipped {
		r.tell(f)
	}
	f.Notices = append(append([]string{}, r.notices...), f.Notices...)
	if err := r.print(f, func(w io.Writer) error { return filmText(w, f) }); err != nil {
		r.failed = err
	}
}

// tell says the notices of a film. What holds for many pictures of a batch is
// said of the first, and counted for the end.
func (r *filmReport) tell(f batch.Film) {
	for _, n := range f.Notices {
		if r.told[n] == 0 || !r.several {
			r.notice("%s: %s", f.Input, n)
			r.order = append(r.order, n)
		}
		if r.told == nil {
			r.told = map[string]int{}
		}
		r.told[n]++
	}
}

// tellRest says of how many more pictures notices hold.
func (r *filmReport) tellRest() {
	for _, n := range r.order {
		if more := r.told[n] - 1; more > 0 && r.several {
			r.notice("of %d more: %s", more, n)
		}
	}
}

func filmText(w io.Writer, f batch.Film) error {
	if f.Skipped {
		_, err := fmt.Fprintf(w, "%s: there already, made from the same picture in the same way\n", oneLine(f.Output))
		return err
	}
	mirrored := "mirrored"
	if !f.Mirrored {
		mirrored = "not mirrored"
	}
	_, err := fmt.Fprintf(w, "%s: %.1f x %.1f mm at %.4g ppi, %d x %d pixels of %d bits, %s\n",
		oneLine(f.Output), f.WidthMM, f.HeightMM, f.PPI, f.WidthPX, f.HeightPX, f.Depth, mirrored)
	return err
}

// finish sums up, and returns the error of the whole.
func (r *filmReport) finish(ctx context.Context) error {
	if r.failed != nil {
		return r.failed
	}
	if ended := r.sum.Done + r.sum.Skipped + r.sum.Failed; ctx.Err() != nil && ended < r.pictures {
		return r.stopped(ended)
	}
	r.tellRest()
	if r.several {
		if err := r.print(r.sum, r.sum.text); err != nil {
			return err
		}
	}
	switch {
	case len(r.failures) == 0:
		return nil
	case !r.several:
		return r.failures[0]
	case r.sum.Failed == r.pictures:
		return &allFailedError{r.failures}
	}
	return &partialError{failures: r.failures}
}

// stopped is the error of a report that was interrupted.
func (r *filmReport) stopped(ended int) error {
	if !r.several {
		return context.Canceled
	}
	return &stoppedError{ended: ended, pictures: r.pictures, failures: r.failures}
}

func (s filmSummary) text(w io.Writer) error {
	there := ""
	if s.Skipped > 0 {
		there = fmt.Sprintf("there already: %d, ", s.Skipped)
	}
	_, err := fmt.Fprintf(w, "films made: %d, %sfailed: %d\n", s.Done, there, s.Failed)
	return err
}
