package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// exactly returns the argument check of a command that takes one argument for
// each of names, as the help writes them.
func exactly(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < len(names) {
			return missingArgument(cmd, names[len(args)])
		}
		return noMoreThan(cmd, args, len(names))
	}
}

// atLeastOne returns the argument check of a command that takes one or more of
// what the help calls name.
func atLeastOne(name string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return missingArgument(cmd, name)
		}
		return nil
	}
}

func missingArgument(cmd *cobra.Command, name string) error {
	return &usageError{where: place(cmd), what: name + " is missing", hint: usageHint(cmd)}
}

func noMoreThan(cmd *cobra.Command, args []string, most int) error {
	if len(args) <= most {
		return nil
	}
	return &usageError{
		where: place(cmd),
		what:  fmt.Sprintf("%q is one argument too many", args[most]),
		hint:  usageHint(cmd),
	}
}

func usageHint(cmd *cobra.Command) string {
	return "write it as: " + cmd.UseLine()
}

// missingFlag is the usage error for a flag that a command can't do without.
func missingFlag(cmd *cobra.Command, name string) error {
	hint := usageHint(cmd)
	if flag := cmd.Flag(name); flag != nil {
		value, usage := pflag.UnquoteUsage(flag)
		hint = fmt.Sprintf("add --%s %s: %s", name, value, usage)
	}
	return &usageError{where: place(cmd), what: "--" + name + " is missing", hint: hint}
}

// flagError turns what the flag parser says into a usage error in our words.
func flagError(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var noValue *pflag.ValueRequiredError
	var bad *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		return unknownFlag(cmd, unknown)
	case errors.As(err, &noValue):
		return flagWithoutValue(noValue.GetFlag())
	case errors.As(err, &bad):
		return badValue(bad)
	default:
		return &usageError{where: place(cmd), what: err.Error(), hint: usageHint(cmd)}
	}
}

func unknownFlag(cmd *cobra.Command, err *pflag.NotExistError) error {
	name := "--" + err.GetSpecifiedName()
	if short := err.GetSpecifiedShortnames(); short != "" {
		name = "-" + err.GetSpecifiedName()
	}
	hint := "'" + cmd.CommandPath() + " --help' lists the flags"
	if near := nearestFlags(cmd, err.GetSpecifiedName()); len(near) > 0 {
		hint = "did you mean " + quotedChoice(near) + "?"
	}
	return &usageError{where: place(cmd), what: "unknown flag " + name, hint: hint}
}

// nearestFlags returns the flags of cmd whose names look like name. It lets
// cobra compare them, as if they were commands.
func nearestFlags(cmd *cobra.Command, name string) []string {
	probe := &cobra.Command{SuggestionsMinimumDistance: 2}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		probe.AddCommand(&cobra.Command{Use: f.Name, Run: func(*cobra.Command, []string) {}})
	})
	var near []string
	for _, n := range probe.SuggestionsFor(name) {
		near = append(near, "--"+n)
	}
	return near
}

func flagWithoutValue(flag *pflag.Flag) error {
	value, usage := pflag.UnquoteUsage(flag)
	return &usageError{
		where: "--" + flag.Name,
		what:  "its value is missing",
		hint:  fmt.Sprintf("write --%s %s: %s", flag.Name, value, usage),
	}
}

func badValue(err *pflag.InvalidValueError) error {
	flag := err.GetFlag()
	what := fmt.Sprintf("%q: %v", err.GetValue(), err.Unwrap())
	if kind := plainKind(flag.Value.Type()); kind != "" {
		what = fmt.Sprintf("%q is not %s", err.GetValue(), kind)
	}
	value, usage := pflag.UnquoteUsage(flag)
	hint := strings.TrimSpace(fmt.Sprintf("write --%s %s", flag.Name, value)) + ": " + usage
	return &usageError{where: "--" + flag.Name, what: what, hint: hint}
}

// plainKind names what a built-in kind of flag takes; "" for a kind of our own,
// which words its errors itself.
func plainKind(flagType string) string {
	switch flagType {
	case "int", "int64", "uint", "uint64":
		return "a whole number"
	case "float64":
		return "a number"
	case "bool":
		return "true or false"
	}
	return ""
}
