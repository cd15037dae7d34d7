package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// newGroup makes cmd a command that only holds others. The root alone shows its
// help when no command is named; elsewhere that is a usage error.
func newGroup(cmd *cobra.Command) *cobra.Command {
	cmd.SuggestionsMinimumDistance = 2
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownCommand(cmd, args[0])
		}
		return nil
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if !cmd.HasParent() {
			return cmd.Help()
		}
		return &usageError{
			where: place(cmd),
			what:  "no command named",
			hint:  "choose one of: " + strings.Join(commandNames(cmd), ", "),
		}
	}
	return cmd
}

// unknownCommand words the error for a command that cmd doesn't have, with the
// nearest ones it has.
func unknownCommand(cmd *cobra.Command, name string) error {
	hint := "'" + cmd.Root().Name() + " help' lists the commands"
	if cmd.HasParent() {
		hint = "choose one of: " + strings.Join(commandNames(cmd), ", ")
	}
	if near := cmd.SuggestionsFor(name); len(near) > 0 {
		hint = "did you mean " + quotedChoice(near) + "?"
	}
	return &usageError{where: place(cmd), what: fmt.Sprintf("unknown command %q", name), hint: hint}
}

// place says which command an error is about; the program's own name is in
// front of every error already.
func place(cmd *cobra.Command) string {
	if !cmd.HasParent() {
		return ""
	}
	return cmd.CommandPath()
}

// commandNames returns the names of the commands in cmd, help left out.
func commandNames(cmd *cobra.Command) []string {
	var names []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() && c.Name() != "help" {
			names = append(names, c.Name())
		}
	}
	return names
}

// quotedChoice returns 'a', or 'a' or 'b', and so on.
func quotedChoice(names []string) string {
	return "'" + strings.Join(names, "' or '") + "'"
}
