package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
)

// run carries out one command line and returns the exit code of the program.
// It touches nothing outside s, the files that args name and the clock.
func run(ctx context.Context, args []string, s *streams) int {
	a := &app{streams: s}
	root := newRoot(a)
	root.SetArgs(joinTwoWords(args))
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	err := root.ExecuteContext(ctx)
	if errors.Is(err, errVersionAsked) {
		err = a.printVersion()
	}
	if err == nil {
		return exitDone
	}
	if ctx.Err() != nil {
		err = fmt.Errorf("%w (%w)", ctx.Err(), err)
	}
	// A flag that failed to parse may stand before --json.
	a.global.json = a.global.json || slices.Contains(args, "--json")
	a.reportError(err)
	return exitCode(err)
}
