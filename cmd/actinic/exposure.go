package main

import (
	"github.com/spf13/cobra"
)

// newExposure returns the group of commands about the exposure of clear film.
func newExposure(a *app) *cobra.Command {
	group := newGroup(&cobra.Command{
		Use:   "exposure COMMAND",
		Short: "Test strips: the shortest exposure that reaches black",
		Long: `A negative needs the shortest exposure that brings the paper to black through
clear film: less leaves the shadows weak, more asks for ink that the film may
not hold. A test strip finds it: areas of clear film side by side, each exposed
for its own time.

'plan' says which times; 'actinic chart exposure' prints a film for them; 'find'
takes the readings of the print.`,
		Example: `  actinic exposure plan --from 2m --to 32m --strips 9
  actinic exposure find strip.csv`,
	})
	group.AddCommand(newExposurePlan(a), newExposureFind(a))
	return group
}
