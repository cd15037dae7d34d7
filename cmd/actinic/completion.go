package main

import (
	"slices"

	"github.com/spf13/cobra"
)

var shells = []string{"bash", "zsh", "fish", "powershell"}

// newCompletion returns the command that prints the completion script of a shell.
func newCompletion(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "Completion script for a shell",
		Long: `Prints a script that lets a shell complete commands and flags of actinic when
you press Tab. SHELL is bash, zsh, fish or powershell.`,
		Example: `  actinic completion bash > ~/.local/share/bash-completion/completions/actinic
  actinic completion fish > ~/.config/fish/completions/actinic.fish`,
		Args:      exactly("SHELL"),
		ValidArgs: shells,
		RunE: func(cmd *cobra.Command, args []string) error {
			return runCompletion(a, cmd.Root(), args[0])
		},
	}
}

// runCompletion prints the script that completes the commands of root in shell.
func runCompletion(a *app, root *cobra.Command, shell string) error {
	if !slices.Contains(shells, shell) {
		return &usageError{
			where: "actinic completion",
			what:  "no script for the shell " + quotedChoice([]string{shell}),
			hint:  "choose one of: " + quotedChoice(shells),
		}
	}
	switch shell {
	case "bash":
		return root.GenBashCompletionV2(a.out, true)
	case "zsh":
		return root.GenZshCompletion(a.out)
	case "fish":
		return root.GenFishCompletion(a.out, true)
	default:
		return root.GenPowerShellCompletionWithDesc(a.out)
	}
}
