package main

import (
	"errors"
	"fmt"
	"io"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// errVersionAsked stops a command whose line holds --version.
var errVersionAsked = errors.New("version asked for")

// answerVersion makes every command below root heed --version before it looks
// at its arguments, so that none of them has to be given.
func answerVersion(root *cobra.Command, a *app) {
	visit(root, func(cmd *cobra.Command) {
		check := cmd.Args
		cmd.Args = func(cmd *cobra.Command, args []string) error {
			if a.global.version {
				return errVersionAsked
			}
			if check == nil {
				return nil
			}
			return check(cmd, args)
		}
	})
}

// printVersion shows the version of the program.
func (a *app) printVersion() error {
	v := version(debug.ReadBuildInfo())
	value := struct {
		Version string `json:"version"`
	}{v}
	return a.print(value, func(w io.Writer) error {
		_, err := fmt.Fprintln(w, "actinic", v)
		return err
	})
}

// version returns the module version that the program was built from, else the
// revision of the checkout, else "unversioned".
func version(info *debug.BuildInfo, ok bool) string {
	if !ok {
		return "unversioned"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, setting := range info.Settings {
		if setting.Key == "vcs.revision" {
			return setting.Value
		}
	}
	return "unversioned"
}
