package main

import (
	"io"

	"actinic/negative/output"
)

// job is one output of a command that makes several.
type job struct {
	name  string
	kind  content
	write func(io.Writer) error
}

// writeOutputs makes all outputs of a command, or none: every name is tried
// before anything is written, and nothing has its name before all is written.
// inputs are the files that the command reads. Jobs without a name are left
// out.
func (a *app) writeOutputs(inputs []string, jobs ...job) error {
	set := output.NewSet(a.outputOptions(inputs...))
	defer set.Abort()
	var named []job
	var to []io.Writer
	var shown []destination
	for _, j := range jobs {
		if j.name == "" {
			continue
		}
		w, err := a.openJob(set, j, &shown)
		if err != nil {
			return err
		}
		named, to = append(named, j), append(to, w)
	}
	for i, j := range named {
		if err := j.write(to[i]); err != nil {
			return err
		}
	}
	if err := set.Commit(); err != nil {
		return err
	}
	return commit(shown)
}

// openJob opens the place of one output: a file of the set, or standard output.
func (a *app) openJob(set *output.Set, j job, shown *[]destination) (io.Writer, error) {
	if j.name != standardStream {
		return set.Create(j.name)
	}
	d, err := a.openOutput(j.name, j.kind)
	if err == nil {
		*shown = append(*shown, d)
	}
	return d, err
}

func commit(all []destination) error {
	for _, d := range all {
		if err := d.Commit(); err != nil {
			return err
		}
	}
	return nil
}
