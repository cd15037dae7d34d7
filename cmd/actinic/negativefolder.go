package main

import (
	"context"

	"actinic/negative/batch"
)

// negatives makes the films of files and folders.
func (a *app) negatives(ctx context.Context, r *batch.Recipe, args []string, o *negativeOptions, notices []string) error {
	tasks, err := batch.Plan(args, o.out, batch.PlanOptions{Format: string(o.format)})
	if err != nil {
		return err
	}
	single := len(args) == 1 && !isFolder(args[0])
	tasks = o.part.share.Of(tasks)
	b := filmReport{app: a, several: !single, pictures: len(tasks), notices: notices}
	options, err := o.runOptions(a, &b)
	if err != nil {
		return err
	}
	b.line = a.newProgress(len(tasks))
	r.Run(ctx, tasks, options)
	b.line.end()
	return b.finish(ctx)
}

// runOptions are the user's bounds on a batch, and who watches it.
func (o *negativeOptions) runOptions(a *app, w batch.Watcher) (batch.RunOptions, error) {
	made, err := a.made()
	return batch.RunOptions{Jobs: a.global.jobs, Memory: int64(o.memory), Force: a.global.force,
		Output: a.outputOptions(o.calibration), Made: made, Watch: w}, err
}
