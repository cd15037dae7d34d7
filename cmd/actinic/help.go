package main

import (
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// usageTemplate lays out the part of the help below the description.
const usageTemplate = `Usage:
  {{.UseLine}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{if .HasExample}}

Example:
{{.Example}}{{end}}{{if .HasAvailableLocalFlags}}

{{if .HasParent}}Flags{{else}}Global flags{{end}}:
{{flagLines (ungrouped .LocalFlags) | trimTrailingWhitespaces}}{{end}}{{range flagGroups .LocalFlags}}

{{.Heading}}:
{{flagLines .Flags | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableInheritedFlags}}

Global flags:
{{flagLines .InheritedFlags | trimTrailingWhitespaces}}{{end}}{{if not .HasParent}}

` + exitHelp + `{{else if .HasAvailableSubCommands}}

'{{.CommandPath}} COMMAND --help' says more about a command.{{end}}
`

// styleHelp gives root and every command below it our help layout.
func styleHelp(root *cobra.Command) {
	root.SetUsageTemplate(usageTemplate)
	visit(root, func(cmd *cobra.Command) {
		cmd.DisableFlagsInUseLine = true
		cmd.Flags().SortFlags = false
		cmd.Flags().BoolP("help", "h", false, "show this help")
		cmd.InheritedFlags().SortFlags = false
	})
}

// The commands are listed in the order of the job, not of the alphabet.
func init() {
	cobra.EnableCommandSorting = false
	cobra.AddTemplateFunc("flagLines", flagLines)
	cobra.AddTemplateFunc("ungrouped", func(f *pflag.FlagSet) *pflag.FlagSet { return flagsOf(f, "") })
	cobra.AddTemplateFunc("flagGroups", flagGroups)
}

// quotedDefault is how pflag shows the default of some flags; of others it shows
// the bare word.
var quotedDefault = regexp.MustCompile(`\(default "([^"]*)"\)`)

// flagLines returns the help of flags.
func flagLines(f *pflag.FlagSet) string {
	return quotedDefault.ReplaceAllString(f.FlagUsagesWrapped(terminalWidth), "(default $1)")
}

// flagGroupKey is the annotation of a flag that stands under a heading of its own
// in the help.
const flagGroupKey = "group"

// groupFlag puts a flag under a heading of its own in the help.
func groupFlag(flags *pflag.FlagSet, name, heading string) {
	if err := flags.SetAnnotation(name, flagGroupKey, []string{heading}); err != nil {
		panic(err)
	}
}

// flagGroup are flags under a heading.
type flagGroup struct {
	Heading string
	Flags   *pflag.FlagSet
}

// flagGroups returns the groups of flags that have a heading, in the order of their
// first flags.
func flagGroups(flags *pflag.FlagSet) []flagGroup {
	var out []flagGroup
	flags.VisitAll(func(f *pflag.Flag) {
		heading := headingOf(f)
		same := func(g flagGroup) bool { return g.Heading == heading }
		if heading != "" && !slices.ContainsFunc(out, same) {
			out = append(out, flagGroup{heading, flagsOf(flags, heading)})
		}
	})
	return out
}

// flagsOf returns the flags under a heading; of "", those without one.
func flagsOf(flags *pflag.FlagSet, heading string) *pflag.FlagSet {
	out := pflag.NewFlagSet("", pflag.ContinueOnError)
	out.SortFlags = false
	flags.VisitAll(func(f *pflag.Flag) {
		if headingOf(f) == heading {
			out.AddFlag(f)
		}
	})
	return out
}

func headingOf(f *pflag.Flag) string {
	if group := f.Annotations[flagGroupKey]; group != nil {
		return group[0]
	}
	return ""
}

// visit calls do for cmd and each command below it.
func visit(cmd *cobra.Command, do func(*cobra.Command)) {
	do(cmd)
	for _, c := range cmd.Commands() {
		visit(c, do)
	}
}

// newHelp returns the command that shows the help of another command, and
// unlike cobra's own fails when there is no such command.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Help on any command",
		Long:  "Shows what a command does, its flags and an example.",
		Example: `  actinic help process show
  actinic process show --help      the same`,
		RunE: func(cmd *cobra.Command, args []string) error {
			return runHelp(cmd.Root(), args)
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
			return completeCommand(cmd.Root(), args, start), cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// runHelp shows the help of the command that path leads to from root.
func runHelp(root *cobra.Command, path []string) error {
	cmd := root
	for _, name := range path {
		next := childNamed(cmd, name)
		if next == nil {
			return unknownCommand(cmd, name)
		}
		cmd = next
	}
	return cmd.Help()
}

// completeCommand returns the commands below path that begin with start.
func completeCommand(root *cobra.Command, path []string, start string) []string {
	cmd := root
	for _, name := range path {
		if cmd = childNamed(cmd, name); cmd == nil {
			return nil
		}
	}
	var names []string
	for _, name := range commandNames(cmd) {
		if strings.HasPrefix(name, start) {
			names = append(names, name)
		}
	}
	return names
}

func childNamed(cmd *cobra.Command, name string) *cobra.Command {
	for _, c := range cmd.Commands() {
		if c.Name() == name {
			return c
		}
	}
	return nil
}
