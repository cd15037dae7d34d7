package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"actinic/negative/batch"
)

// filmReport tells of films as they are made, and sums them up.
type filmReport struct {
	*app
	several  bool
	notices  []string // of all films; part of each object with --json
	done     int
	failures []error
	failed   error // to write the report
}

// add tells of one film. A failure is kept for the end.
func (r *filmReport) add(o batch.Outcome) {
	if o.Err != nil {
		r.failures = append(r.failures, o.Err)
		return
	}
	r.done++
	f := o.Film
	for _, n := range f.Notices {
		r.notice("%s: %s", f.Input, n)
	}
	f.Notices = append(append([]string{}, r.notices...), f.Notices...)
	if err := r.print(f, func(w io.Writer) error { return filmText(w, f) }); err != nil {
		r.failed = err
	}
}

func filmText(w io.Writer, f batch.Film) error {
	mirrored := "mirrored"
	if !f.Mirrored {
		mirrored = "not mirrored"
	}
	_, err := fmt.Fprintf(w, "%s: %.1f x %.1f mm at %.4g ppi, %d x %d pixels of %d bits, %s\n",
		f.Output, f.WidthMM, f.HeightMM, f.PPI, f.WidthPX, f.HeightPX, f.Depth, mirrored)
	return err
}

// filmSummary is the last object of 'negative --json' on several pictures.
type filmSummary struct {
	Done   int `json:"done"`
	Failed int `json:"failed"`
}

// finish sums up, and returns the error of the whole.
func (r *filmReport) finish() error {
	if r.failed != nil {
		return r.failed
	}
	for _, err := range r.failures {
		if errors.Is(err, context.Canceled) {
			return err
		}
	}
	if r.several {
		s := filmSummary{r.done, len(r.failures)}
		text := func(w io.Writer) error {
			_, err := fmt.Fprintf(w, "films made: %d, failed: %d\n", s.Done, s.Failed)
			return err
		}
		if err := r.print(s, text); err != nil {
			return err
		}
	}
	switch {
	case len(r.failures) == 0:
		return nil
	case !r.several:
		return r.failures[0]
	case r.done == 0:
		return &allFailedError{r.failures}
	}
	return &partialError{failures: r.failures}
}
